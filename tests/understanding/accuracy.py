"""python -m tests.understanding.accuracy: how much of fixtures/read is understood, by file and by kind of item."""

import sys
from collections import Counter

from tests.understanding.match import is_right, items_of, rows, wrong_facts


def kinds_of(row: dict) -> set[str]:
    """The kinds that the first accepted meaning holds; small talk holds none."""
    return {item["kind"] for item in row["accept"][0]} or {"small talk"}


def main() -> int:
    total, right, silent = Counter(), Counter(), []
    for row in rows():
        items = items_of(row)
        good = is_right(row, items)
        for name in ("all", f"file {row['file']}", *(f"kind {kind}" for kind in kinds_of(row))):
            total[name] += 1
            right[name] += good
        silent += [(row["id"], row["input"]["text"], wrong) for wrong in wrong_facts(row, items)]
        if not good and "-v" in sys.argv:
            print(row["id"], repr(row["input"]["text"]), items)
    for name in sorted(total):
        print(f"{name:<22} {right[name]:>5} of {total[name]:>5}   {right[name] / total[name]:7.1%}")
    print(f"silently wrong         {len(silent):>5}")
    for each in silent if "-v" in sys.argv else ():
        print("  ", *each)
    return 0


if __name__ == "__main__":
    sys.exit(main())
