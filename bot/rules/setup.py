"""Setting up: who may set what, and what follows from what was said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.facts.load import table
from bot.items import Quantity


def may(subject: str) -> tuple[str, ...]:
    """The roles that may set a subject; of those that nobody named, whoever may set the team."""
    rows = table("setup")
    circle = next((name for name, subjects in rows["subjects"].items() if subject in subjects), "team")
    return tuple(rows["may"][circle])


def usual_panel(kind: str | None) -> tuple[str, ...]:
    """What a kind of tank is usually tested for."""
    return tuple(table("setup")["panel"].get(kind or "", ()))


def share_of(gross: Quantity) -> Quantity:
    """The usual share of a glass that is water."""
    return Quantity(round(gross.value * table("setup")["net"]["value"] / 100, 1), gross.unit)


def as_json(quantity: Quantity) -> dict[str, Any]:
    """A quantity as the team's JSON writes it."""
    return {"value": quantity.value, "unit": quantity.unit}


def copied(source: Mapping[str, Any]) -> dict[str, Any]:
    """What a copy takes over: how a tank is kept, not what is in it."""
    return {k: source[k] for k in table("setup")["copies"]["keys"] if source.get(k) is not None}


def best_named(words: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """The names that the words fit best: all their words, else most of them; several where they fit equally well."""
    said = _words(words)
    scores = {name: len(said & _words(name)) / len(_words(name)) for name in names}
    best = max(scores.values(), default=0.0)
    return tuple(name for name, score in scores.items() if score == best) if best > 0 else ()


def shared_word(text: str, names: tuple[str, ...]) -> str | None:
    """The words of a text that fit each of several names, and so were open: "oak" of "Oak lobby" and "Oak den"."""
    shared = set.intersection(*(_words(name) for name in names)) if len(names) > 1 else set()
    said = [word for word in _in_order(text) if word in shared or any(_is_short_for(word, w) for w in shared)]
    return " ".join(dict.fromkeys(said)) or None


def _is_short_for(word: str, longer: str) -> bool:
    return len(word) > 2 and longer.startswith(word)


def _in_order(text: str) -> list[str]:
    return "".join(c if c.isalnum() else " " for c in text.casefold()).split()


def _words(text: str) -> set[str]:
    return {word for word in _in_order(text) if word not in ("the", "of", "and", "at", "for")}
