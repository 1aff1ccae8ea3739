"""How many checks stand against something outside, by topic and by source: `python -m tests.science.count`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from importlib import import_module
from math import prod
from pathlib import Path
from typing import Any

from tests.science.calc_rows import rows

MOST_OF_ONE_SOURCE = 40
# Labels that are one and the same library, however a row puts it.
LIBRARIES = {
    "gsw": ("gsw", "TEOS-10"),
    "molmass": ("molmass", "IUPAC"),
    "PyCO2SYS": ("PyCO2SYS",),
    "pint": ("pint",),
    "scipy": ("scipy",),
}


def checks() -> list[tuple[str, str]]:
    """Topic and source of each check: the rows of fixtures/calc, and each case of a test that is marked `outside`."""
    written = [(row["topic"], family(row["source"])) for _, row in rows() if not _ours(row)]
    return written + [(topic, family(source)) for topic, source in _live()]


def capped(by_source: Counter[str]) -> int:
    """Checks where no source counts more than 40 times."""
    return sum(min(number, MOST_OF_ONE_SOURCE) for number in by_source.values())


def family(source: str) -> str:
    """The library behind a source, else the source itself."""
    return next((name for name, words in LIBRARIES.items() if any(word in source for word in words)), source)


def _live() -> Iterator[tuple[str, str]]:
    for path in sorted(Path(__file__).parent.glob("test_*.py")):
        for each in vars(import_module(f"tests.science.{path.stem}")).values():
            marks = getattr(each, "pytestmark", []) if callable(each) else []
            for mark in (mark for mark in marks if mark.name == "outside"):
                yield from [mark.args] * prod(len(other.args[1]) for other in marks if other.name == "parametrize")


def _ours(row: dict[str, Any]) -> bool:
    """Refusals and conventions of our own are tests, but no checks against something outside."""
    own = row["source"].startswith("own ") or row["source"] == "common practice, no source"
    return own or "problem" in row["expect"]


def main() -> None:
    by_topic, by_source = (Counter(each) for each in zip(*checks(), strict=True))
    print(f"{capped(by_source)} checks, counting no source more than {MOST_OF_ONE_SOURCE} times")
    for title, counter in (("topic", by_topic), ("source", by_source)):
        print(f"{title:>6}  {sum(counter.values())} checks, {len(counter)} {title}s")
        for name, number in counter.most_common():
            print(f"{number:6}  {name}")


if __name__ == "__main__":
    main()
