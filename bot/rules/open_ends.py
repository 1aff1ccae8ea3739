"""What must be undone later: which sentence opens it, which closes it, when it is asked about."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.items import Event
from bot.rules.waits import Kind
from bot.rules.words import says
from bot.understanding.lexicon import Lexicon, phrases
from bot.understanding.tokens import tokenise

_EQUIPMENT, _OTHERS = "equipment", ("filter_service", "equipment")


def ends_of(item: Event) -> tuple[str, ...]:
    """The open ends that the event is about, by the words of its subject, in the order said."""
    if item.event not in _OTHERS:
        return ()
    return named_in(item.subject or "")


def phrase_of(key: str, subject: str) -> str:
    """The words of the subject that name this open end, where it names several; else the whole of it."""
    tokens = tokenise(subject)
    hits = [hit for hit in _lexicon().find(tokens) if hit.meaning == key]
    if len(named_in(subject)) < 2 or not hits:
        return subject
    return subject[tokens[hits[0].start].start : tokens[hits[0].stop - 1].end]


def spoken_of(key: str, text: str) -> str:
    """The words that name this open end, what it does left out: "tap" of "tap running into the bucket"."""
    tokens = tokenise(text)
    hit = next((hit for hit in _lexicon().find(tokens) if hit.meaning == key), None)
    said = text[tokens[hit.start].start : tokens[hit.stop - 1].end] if hit else kind(key).name
    return _RUNS.sub("", said) or said


_RUNS = re.compile(r"('s| is)?( running| going| on)$")


def ends_closed_by(item: Event) -> tuple[str, ...]:
    """The open ends that the event can close: those it is about, and those that a shorter word closes."""
    shorter = (
        k for k, row in table("open_ends").items() if "closed_by" in row and says(item.subject or "", row["closed_by"])
    )
    return tuple(dict.fromkeys((*ends_of(item), *shorter)))


def named_in(text: str) -> tuple[str, ...]:
    """The open ends that words name, whatever is said of them; the longest phrase at each place counts."""
    return tuple(dict.fromkeys(hit.meaning for hit in _lexicon().find(tokenise(text))))


def opens(key: str, item: Event, text: str = "") -> bool:
    """Whether the event leaves it open."""
    row = table("open_ends")[key]
    if item.event == _EQUIPMENT and item.state:
        return item.state in _list(row, "opens")
    return _says(row, "says_open", text) and not _says(row, "says_closed", text)


def closes(key: str, item: Event, text: str = "") -> bool:
    """Whether the event closes it."""
    row = table("open_ends")[key]
    if item.event == _EQUIPMENT and item.state:
        return item.state in _list(row, "closes")
    return _says(row, "says_closed", text)


@cache
def kind(key: str) -> Kind:
    """The open end as a kind of wait: pinged after `remind`, asked what it needs."""
    row = table("open_ends")[key]
    return Kind(
        key=key, wait="other", name=row["name"], quote=row["quote"], bare=row["quote"].format(what=row["name"]),
        end=row["end"], cls=row["class"], next=row["next"], out=row["out"], over=row.get("over", ""),
        default=row["remind"]["value"], gate=row.get("gate"), caution=_care(row), leave=True,
    )  # fmt: skip


def switched_off(wait: Kind, subject: str) -> Kind:
    """The wait of something switched off for a time, asked about as that thing is: a heater needs no flow."""
    named = named_in(subject)
    if not named or not is_switched(named[0]):
        return wait
    own = kind(named[0])
    return replace(wait, next=own.next, out=own.out, over=own.over or wait.over, gate=own.gate)


def is_switched(key: str) -> bool:
    """Whether it is something that is switched on again (not a pad, a valve or a siphon)."""
    return "on" in _list(table("open_ends")[key], "closes")


def all_ends() -> tuple[str, ...]:
    """Every key of the table."""
    return tuple(table("open_ends"))


def closing_event(key: str, subject: str | None, tank: str | None, vat: str | None) -> Event:
    """What a press that closes it puts into the logbook."""
    row = table("open_ends")[key]
    known: dict[str, Any] = {"tank": tank, "vat": vat, "subject": subject or row["name"], "closes": True}
    states = _list(row, "closes")
    return Event("equipment", **known, state=states[0]) if states else Event("filter_service", **known)


@cache
def _lexicon() -> Lexicon:
    return Lexicon({key: phrases(row["words"]) for key, row in table("open_ends").items()})


def _care(row: Mapping[str, Any]) -> str | None:
    return "Unplug, dry hands before hands go in" if row.get("gate") or row["name"] == "heater" else None


def _list(row: Mapping[str, Any], key: str) -> list[str]:
    return [each.strip() for each in str(row.get(key, "")).split(",") if each.strip()]


def _says(row: Mapping[str, Any], key: str, text: str) -> bool:
    return bool(row.get(key)) and says(text, row[key])
