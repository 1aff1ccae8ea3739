"""What is said when a value turns out wrong: what came from it, what of that has happened, what to do now."""

from __future__ import annotations

from collections.abc import Sequence

from bot.facts.load import table
from bot.items import Control, Event, Item, Question, Reading, Task
from bot.wording import entries
from bot.wording.quantities import full_name, in_unit


def value(old: Reading) -> str:
    """The old value, bare: "3.8"."""
    return in_unit(old.value, old.unit)


def not_poured(clock: str, asked: Question, old: Reading) -> str:
    """Stops what was worked out from it and is not yet known to be in the water."""
    return f"STOP if not poured: the {clock} {noun(asked)} came from {value(old)}."


def noun(item: Item) -> str:
    """What was worked out, in a word."""
    if isinstance(item, Question):
        return str(table("consequences_shown")["topics"].get(item.topic, "sum"))
    return str(table("consequences_shown")["others"].get(getattr(item, "action", ""), "answer"))


def came_from(old: Reading, pieces: Sequence[str], too: bool) -> str:
    """Everything (else) that came from it, each with its time."""
    return f"From {value(old)}{' too' if too else ''}: {' · '.join(pieces)}"


def piece(clock: str, who: str, item: Item) -> str:
    """One thing that was done because of it: "09:02 dosed alk 20 mL (Ines)"."""
    match item:
        case Event():
            said = entries.event(item)
        case Task():
            said = f"task: {item.text}"
        case Control(action="override"):
            said = f"OVERRIDDEN {item.subject or ''}".strip()
        case Control(action="report" | "plot"):
            said = noun(item)
        case Control():
            said = f"CHECKED {item.subject or table('shown')['waits'].get(item.wait or '', 'wait')}"
        case _:
            said = noun(item)
    return f"{clock} {said} ({entries.name(who)})"


def what_now(old: Reading, has_dose: bool, has_change: bool, has_gate: bool, has_sum: bool) -> str | None:
    """What the hands do next."""
    name = full_name(old.parameter)
    if has_dose:
        return f"Next: no more of it today; test {name} again now"
    if has_gate:
        return "Next: match again before anything else goes in"
    if has_change:
        return f"Next: test {name} again before the next change"
    return "Next: ask the sum again, it is worked out anew" if has_sum else None


def poured(clock: str) -> str:
    """It is in the water: what now."""
    return f"In the water: no more of it today. Test again at {clock}; I ask then."


def retest(parameter: str, amount: str) -> str:
    """The job that follows."""
    return f"retest {full_name(parameter)} after {amount} worked out from a wrong value"
