"""What followed from a value that turns out wrong: doses, changes, gates, tasks and sums made because of it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.facts.load import table
from bot.items import Control, Event, Item, Quantity, Question, Reading, Task


@dataclass(frozen=True)
class After:
    """Something on record after the value: `id` is its fact, `at` when it was done."""

    id: int
    at: datetime
    who: str
    item: Item


def followed(old: Reading, at: datetime, later: Iterable[After], tested_again: datetime | None) -> list[After]:
    """What was done because of the value, in order.

    at            when the value held
    later         facts of the same tank (or vat) after it
    tested_again  when the same thing was tested next; what comes after that came from the new test
    """
    end = tested_again or datetime.max.replace(tzinfo=at.tzinfo)
    found = [each for each in later if at <= each.at < min(end, at + _span(each.item)) and _concerns(old, each.item)]
    return sorted(found, key=lambda each: (each.at, each.id))


def _span(item: Item) -> timedelta:
    key = {"event": "dose", "control": "gate", "task": "task"}.get(item.kind, "task")
    return timedelta(minutes=table("consequences")[key]["value"])


def _concerns(old: Reading, item: Item) -> bool:
    match item:
        case Event(event="dose"):
            return stands_for(item.subject or "", old.parameter) or not item.subject
        case Event():
            changes = table("consequences")["changes"]
            return item.event in changes["events"] and old.parameter in changes["parameters"]
        case Control(action="done", wait=str(wait)):
            return old.parameter in table("consequences")["gates"].get(wait, ())
        case Control(action="override"):
            return stands_for(f"{item.subject or ''} {item.reason or ''}", old.parameter)
        case Task():
            return stands_for(item.text, old.parameter)
    return False


def stands_for(words: str, parameter: str) -> bool:
    """Whether the words name the parameter or what changes it: "bicarb" stands for alkalinity."""
    said = set(re.findall(r"[\w-]+", words.casefold()))
    raises = table("doubles")["raises"].get(parameter, ())
    names = {parameter, *raises, *table("consequences")["stands_for"].get(parameter, ())}
    return bool(said & names) or any(" " in name and name in words.casefold() for name in names)


def used_value(question: Question, old: Reading) -> bool:
    """Whether the question itself named the wrong value: "alk 3.8 to 8.3 in 94 gal"."""
    return bool(_naming(question, old.parameter, old.value))


def without(question: Question, parameter: str, wrong: float, right: Quantity | None) -> Question:
    """The question with the right value where it named the wrong one; without it where there is none."""
    named = _naming(question, parameter, wrong)
    inputs = {k: right if k in named else v for k, v in question.inputs.items()}
    return replace(question, inputs={k: v for k, v in inputs.items() if v is not None})


def _naming(question: Question, parameter: str, value: float) -> set[str]:
    """The inputs of a question that carry a value of the parameter."""
    if question.inputs.get("parameter", parameter) != parameter:
        return set()
    found = {k: q for k, q in question.inputs.items() if isinstance(q, Quantity) and k in ("from", parameter)}
    return {k for k, q in found.items() if abs(q.value - value) <= 1e-6 * max(1.0, abs(value))}


def may_still_be_poured(worked_at: datetime, now: datetime) -> bool:
    """Whether it is recent enough to be asked about."""
    return now - worked_at <= timedelta(minutes=table("consequences")["asked"]["value"])
