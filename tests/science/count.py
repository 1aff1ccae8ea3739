"""How many checks stand against something outside, by topic and by source: `python -m tests.science.count`."""

from __future__ import annotations

from collections import Counter
from typing import Any

from tests.science.calc_rows import rows
from tests.science.live import LIVE_CHECKS


def counted() -> tuple[Counter[str], Counter[str]]:
    """Checks by topic and checks by source: the rows of fixtures/calc, and those of tests that ask a library live."""
    by_topic: Counter[str] = Counter()
    by_source: Counter[str] = Counter()
    for _, row in rows():
        if not _ours(row):
            by_topic[row["topic"]] += 1
            by_source[row["source"]] += 1
    for topic, source, number in LIVE_CHECKS:
        by_topic[topic] += number
        by_source[source] += number
    return by_topic, by_source


def _ours(row: dict[str, Any]) -> bool:
    """Refusals and conventions of our own are tests, but no checks against something outside."""
    return (
        "problem" in row["expect"] or row["source"].startswith("own ") or row["source"] == "common practice, no source"
    )


def main() -> None:
    by_topic, by_source = counted()
    for title, counter in (("topic", by_topic), ("source", by_source)):
        print(f"{title:>6}  {sum(counter.values())} checks, {len(counter)} {title}s")
        for name, number in counter.most_common():
            print(f"{number:6}  {name}")


if __name__ == "__main__":
    main()
