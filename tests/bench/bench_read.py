"""What reading a message costs and finds: `python -m tests.bench.bench_read` (with the extra `bench`).

On the same messages, in the same run: our reader, a general extractor of quantities (quantulum3) and a general reader
of dates (dateparser). The peers know nothing of the trade; they are asked only what they are for: the values with
their units, and the instants. Then hostile texts, and `read` as a whole process beside `python -c pass`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from math import isclose
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from bot.understanding.read import read
from tests.understanding.match import items_of, rows, situation
from tests.understanding.test_read import HOSTILE, SITUATION

ROOT = Path(__file__).parent.parent.parent
FILES = ("readings", "numbers", "times", "slips", "hands", "events", "waits", "tasks")
EVERY = 4
PROCESSES = 15

# How quantulum3 calls what the contract calls otherwise; a trade "ppm" is parts per million to it.
CALLED = {
    "mg/L": ("milligram per litre", "parts-per-million", "parts per million", "ppm", "milligram per liter"),
    "degF": ("degree fahrenheit", "degree Fahrenheit"),
    "degC": ("degree celsius", "degree Celsius"),
    "gal": ("gallon", "us gallon", "imperial gallon"),
    "L": ("litre", "liter"),
    "mL": ("millilitre", "milliliter", "cubic centimetre"),
    "%": ("percentage", "percent"),
    "mV": ("millivolt",),
    "min": ("minute",),
    "g": ("gram",),
    "lb": ("pound-mass",),
}


def main() -> None:
    messages = [row for row in rows(*FILES) if "asked" not in row["input"]][::EVERY]
    print(f"{len(messages)} messages of fixtures/read, every {EVERY}th of {', '.join(FILES)}")
    _report("ours", [_timed(lambda row=row: read(row["input"]["text"], situation(row["input"]))) for row in messages])
    _report("quantulum3", [_timed(lambda row=row: _quantities(row["input"]["text"])) for row in messages])
    _report("dateparser", [_timed(lambda row=row: _dates(row)) for row in messages])
    _found(messages)
    _hostile()
    ours = _process(["-m", "bot", "read", "ph 8.2 alk 8.4 no3 12", "--tank", "Bar"])
    bare = _process(["-c", "pass"])
    print(f"read as a process: median {ours:.0f} ms; python -c pass: {bare:.0f} ms; so {ours - bare:.0f} ms of our own")


def _timed(call: Callable[[], object]) -> float:
    """Microseconds of the second call: the first may load a table."""
    call()
    began = time.perf_counter()
    call()
    return (time.perf_counter() - began) * 1e6


def _report(name: str, taken: Sequence[float]) -> None:
    print(f"{name:<12} median {median(taken):8.0f} us   99th percentile {quantiles(taken, n=100)[98]:9.0f} us")


def _quantities(text: str) -> list[tuple[float, str]]:
    from quantulum3 import parser

    try:
        return [(found.value, found.unit.name) for found in parser.parse(text)]
    except Exception:  # it trips over some texts; that is a finding, not a failure of ours
        return []


def _dates(row: dict) -> list[datetime]:
    from dateparser.search import search_dates

    given = situation(row["input"])
    order = "DMY" if given.units == "metric" else "MDY"
    base = {"RELATIVE_BASE": given.now.replace(tzinfo=None), "DATE_ORDER": order, "PREFER_DATES_FROM": "past"}
    found = search_dates(row["input"]["text"], languages=["en"], settings=base) or []
    return [at for _, at in found]


def _found(messages: Sequence[dict]) -> None:
    """Of the values, units and instants that the rows expect, how many each one finds."""
    wanted = [
        (row, item) for row in messages for item in row["accept"][0] if item["kind"] in ("reading", "event", "wait")
    ]
    values = [(row, *_quantity(item)) for row, item in wanted if _quantity(item)[0] is not None]
    instants = [(row, item["at"]) for row, item in wanted if "at" in item]
    print(f"of {len(values)} values with their units, and {len(instants)} instants:")
    ours = {id(row): items_of(row) for row in messages}
    theirs = {id(row): _quantities(row["input"]["text"]) for row in messages}
    right = sum(_ours_has(ours[id(row)], value, unit) for row, value, unit in values)
    number = sum(any(isclose(v, value) for v, _ in theirs[id(row)]) for row, value, unit in values)
    both = sum(
        any(isclose(v, value) and u in CALLED.get(unit, ()) for v, u in theirs[id(row)]) for row, value, unit in values
    )
    dates = sum(_has_instant(_dates(row), at) for row, at in instants)
    told = sum(any(item.get("at") == at for item in ours[id(row)]) for row, at in instants)
    print(f"  ours       {right:>5} values with unit, {told} instants")
    print(f"  quantulum3 {both:>5} values with unit, {number} values with or without")
    print(f"  dateparser {dates:>5} instants")


def _quantity(item: dict) -> tuple[float | None, str]:
    if item["kind"] == "wait":
        return item.get("minutes"), "min"
    return item.get("value", item.get("amount")), item.get("unit", "")


def _ours_has(items: Sequence[dict], value: float, unit: str) -> bool:
    return any(
        _quantity(i)[0] is not None and isclose(_quantity(i)[0], value) and _quantity(i)[1] == unit for i in items
    )


def _has_instant(found: Sequence[datetime], at: str) -> bool:
    wanted = datetime.fromisoformat(at).replace(tzinfo=None)
    return any(each.replace(tzinfo=None) == wanted for each in found)


def _hostile() -> None:
    taken = {name: _timed(lambda text=text: read(text, SITUATION)) / 1e3 for name, text in HOSTILE.items()}
    slowest = max(taken, key=lambda name: taken[name])
    print(f"{len(taken)} hostile texts of about 10 000 characters: slowest {taken[slowest]:.0f} ms ({slowest})")


def _process(arguments: list[str]) -> float:
    """The median of whole processes, in milliseconds; bytecode is written beforehand, as on an installed program."""
    with TemporaryDirectory() as folder:
        around = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {
            "PYTHONPYCACHEPREFIX": folder
        }
        return median(_once(arguments, around) for _ in range(PROCESSES))


def _once(arguments: list[str], around: dict[str, str]) -> float:
    began = time.perf_counter()
    subprocess.run([sys.executable, *arguments], cwd=ROOT, env=around, check=True, capture_output=True)
    return (time.perf_counter() - began) * 1e3


if __name__ == "__main__":
    main()
