"""Animals of a tank, counted: what was set up, and what was added, lost and moved since."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from bot.facts.load import table
from bot.items import Event

Census = dict[str, int]


def census(base: Iterable[Mapping[str, Any]], events: Iterable[Event], tank: str) -> Census:
    """How many of each there are now: the list on file, then the events in order."""
    found: Census = {str(each["name"]): int(each.get("count", 1)) for each in base}
    for event in events:
        change = change_of(event, tank)
        if change:
            name = kind_in(found, event.subject or "") or (event.subject or "animals")
            found[name] = max(found.get(name, 0) + change, 0)
    return {name: count for name, count in found.items() if count}


def change_of(event: Event, tank: str) -> int:
    """What an event does to the number in a tank: one, where nobody said how many."""
    count = event.count if event.count is not None else 1
    match event.event:
        case "livestock_added":
            return count * (event.tank == tank)
        case "livestock_lost":
            return -count * (event.tank == tank)
        case "livestock_moved":
            return count * ((event.to_tank == tank) - ((event.from_tank or event.tank) == tank))
    return 0


def kind_in(found: Iterable[str], said: str) -> str | None:
    """The kind on the list that the words mean: "the cleaner" of cleaner shrimp, "tangs" of yellow tang; None where
    they fit none, or several equally well.
    """
    words = _stems(said)
    scores = {name: _fit(words, _stems(name)) for name in found}
    best = max(scores.values(), default=0.0)
    top = [name for name, score in scores.items() if score == best]
    return top[0] if best > 0 and len(top) == 1 else None


def _fit(said: list[str], name: list[str]) -> float:
    """How many of the words said belong to the name; all of them must, colours and sizes aside."""
    telling = [w for w in said if w not in _which()]
    if not telling or not all(any(_alike(w, n) for n in name) for w in telling):
        return 0.0
    return sum(any(_alike(w, n) for n in name) for w in said) / len(name)


def _alike(said: str, name: str) -> bool:
    return said == name or (len(said) >= 4 and name.startswith(said)) or (len(name) >= 4 and said.startswith(name))


def _stems(text: str) -> list[str]:
    words = re.findall(r"[^\W\d_]+", text.casefold())
    return [re.sub(r"(?<=[a-z])(ies|es|s)$", lambda m: "y" if m[1] == "ies" else "", w) for w in words]


def _which() -> frozenset[str]:
    return frozenset(re.findall(r"[a-z]+", table("words_animals")["which"]["which"]))
