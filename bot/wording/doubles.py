"""What is said when two people report the same act on one day."""

from __future__ import annotations

from collections.abc import Sequence

from bot.items import Event
from bot.wording import entries


def stop(tank: str, who: str, earlier: Event, clock: str) -> str:
    """The line that stops a second dose, feeding or change before it counts."""
    return f"STOP {tank}: {entries.name(who)} {_did(earlier)} at {clock}. No more."


def question(event: str) -> str:
    """Asks whether it is one act or two."""
    noun = {"dose": "dose", "feeding": "feeding", "water_change": "change"}.get(event, "one")
    return f"Same {noun}, or yours too? Pending."


def options(event: str) -> tuple[tuple[str, str], ...]:
    """The two answers."""
    too = {"dose": "I poured too", "feeding": "I fed too", "water_change": "I changed too"}.get(event, "Mine too")
    return (("Same one", "same"), (too, "too"))


def own_again(earlier: Event, clock: str) -> str:
    """A remark where the same person reports a second one."""
    return f"Watch: second one today, {entries.event(earlier)} at {clock} was yours too"


def twice(tank: str, both: Sequence[tuple[str, Event]]) -> str:
    """What the owner is told when both were real."""
    told = " and ".join(f"{entries.name(who)} {_did(event)}" for who, event in both)
    return f"Watch {tank}: {told}, both today. A retest is set."


def _did(event: Event) -> str:
    """What somebody did, behind the name: "dosed alk 40 mL", "logged water change 20 gal"."""
    said = entries.event(event)
    return said if said.startswith(("dosed", "fed")) else f"logged {said}"
