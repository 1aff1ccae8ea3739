"""Whether what was read is one of the meanings that a fixture accepts.

Each row of fixtures/read has `input` and `accept`: lists of items, any one of which is right. A list is right if its
items pair off with those that were read, in any order. Of an item only the keys are compared that it has; a few say
more:
`subject_contains` and `text_contains` are words that occur, `inputs_values` quantities among the inputs of a question,
`at_between` and `minutes_between` spans. What a reading does not say to be below a limit must not be read so, and an
instant that is not expected must be the present.
"""

import json
from datetime import datetime, timedelta
from itertools import permutations
from math import isclose
from pathlib import Path

from bot.items import Situation
from bot.items_json import as_json
from bot.understanding.doubts import asked_once
from bot.understanding.read import read

FIXTURES = Path(__file__).parent.parent.parent / "fixtures" / "read"


def rows(*names: str) -> list[dict]:
    """The rows of the named fixture files, of all of them without a name; each knows its file."""
    files = [FIXTURES / f"{name}.jsonl" for name in names] or sorted(FIXTURES.glob("*.jsonl"))
    lines = [(f, line) for f in files for line in f.read_text(encoding="utf-8").splitlines() if line.strip()]
    return [json.loads(line) | {"file": f.stem} for f, line in lines]


def situation(given: dict) -> Situation:
    now = datetime.fromisoformat(given["now"])
    names = {key: tuple(given.get(key) or ()) for key in ("tanks", "vats", "panel", "people", "asked")}
    return Situation(now, given.get("units", "us"), given.get("tank"), nicknames=given.get("nicknames") or {}, **names)


def items_of(row: dict) -> list[dict]:
    """What is read from the row's message, as `python -m bot read` shows it."""
    understood = read(row["input"]["text"], situation(row["input"]))
    return [as_json(item) for item in asked_once(understood.items)]


def is_right(row: dict, items: list[dict]) -> bool:
    now = datetime.fromisoformat(row["input"]["now"])
    return any(pairs_off(wanted, items, now) for wanted in row["accept"])


def pairs_off(wanted: list[dict], items: list[dict], now: datetime) -> bool:
    if len(wanted) != len(items):
        return False
    fits = [[same(each, item, now) for item in items] for each in wanted]
    if any(not any(row) for row in fits):
        return False
    if len(wanted) > 7:
        return all(fits[i][i] for i in range(len(wanted))) or _greedy(fits)
    return any(all(fits[i][j] for i, j in enumerate(way)) for way in permutations(range(len(items))))


def _greedy(fits: list[list[bool]]) -> bool:
    left = set(range(len(fits)))
    for row in sorted(fits, key=sum):
        free = [j for j in left if row[j]]
        if not free:
            return False
        left.remove(free[0])
    return True


def same(wanted: dict, item: dict, now: datetime) -> bool:
    """Whether the item says all that is wanted, and nothing that must be said to be meant."""
    if not all(_agrees(key, value, item, now) for key, value in wanted.items()):
        return False
    if wanted["kind"] == "reading" and item.get("below") and not wanted.get("below"):
        return False
    timeless = wanted["kind"] in ("reading", "event") and not {"at", "at_between"} & set(wanted)
    return not (timeless and item.get("at")) or abs(_instant(item["at"], now) - now) <= timedelta(minutes=1)


def _agrees(key: str, value, item: dict, now: datetime) -> bool:
    if key.endswith("_contains"):
        text = (item.get(key.removesuffix("_contains")) or "").lower()
        return all(word in text for word in value)
    if key == "inputs_values":
        return _among(value, [q for q in item.get("inputs", {}).values() if isinstance(q, dict)])
    if key == "at_between":
        return _instant(value[0], now) <= _instant(item.get("at") or now.isoformat(), now) <= _instant(value[1], now)
    if key == "minutes_between":
        return item.get("minutes") is not None and value[0] <= item["minutes"] <= value[1]
    return _equal(key, value, item.get(key), now)


def _among(wanted: list[dict], found: list[dict]) -> bool:
    left = list(found)
    for each in wanted:
        hit = next((q for q in left if _equal("value", each["value"], q["value"], None) and _unit(each, q)), None)
        if hit is None:
            return False
        left.remove(hit)
    return True


def _unit(wanted: dict, found: dict) -> bool:
    return wanted.get("unit", found["unit"]) == found["unit"]


def _equal(key: str, value, got, now) -> bool:
    if got is None or value is None:
        return got is value
    if key == "at" or (key == "due" and len(str(value)) > 10):
        return len(str(got)) > 10 and _instant(got, now) == _instant(value, now)
    if key == "due":
        return str(got)[:10] == value
    if key == "who":
        return str(got).lower() == value.lower()
    if isinstance(value, int | float) and not isinstance(value, bool):
        return isinstance(got, int | float) and isclose(got, value, rel_tol=1e-6, abs_tol=1e-6)
    return got == value


def _instant(text: str, now: datetime) -> datetime:
    """A time without a zone is local."""
    at = datetime.fromisoformat(text)
    return at if at.tzinfo else at.replace(tzinfo=now.tzinfo)


def wrong_facts(row: dict, items: list[dict]) -> list[dict]:
    """Readings and amounts that would be stored and that no accepted meaning holds: value, unit or tank is wrong."""
    if is_right(row, items):
        return []
    stored = [item for item in items if item["kind"] in ("reading", "correction") or item.get("amount") is not None]
    return [item for item in stored if not any(_holds(item, wanted) for each in row["accept"] for wanted in each)]


def _holds(item: dict, wanted: dict) -> bool:
    keys = ("kind", "parameter", "event", "wait", "value", "amount", "unit", "tank")
    return all(_equal(key, wanted[key], item.get(key), None) for key in keys if key in wanted)
