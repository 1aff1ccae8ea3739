"""Somebody is hurt: the line that saves first, no question before it, and everybody who can help is told at once."""

from __future__ import annotations

from bot.assistant import conversation, people
from bot.assistant.turn import Part, Turn
from bot.items import Control, Event, Item
from bot.rules.words import says
from bot.wording import emergency as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """The first line by hazard; a colleague, the office and the owner are told with the address. It is noted."""
    assert isinstance(item, Control)
    tank = item.tank or people.tank_spoken_of(turn) or conversation.tank_in_hand(turn)
    numbers = turn.team.data.get("emergency", {})
    first, then = wording.first_lines(_hazard(turn, item), numbers.get("number"), numbers.get("poison"))
    names = _helpers(turn, tank)
    client = people.client_of(turn, tank)
    address, desk = (client.address, client.contact) if client else (None, None)
    words = wording.alarm(turn.who.name, _name_of(turn, item), turn.text.strip()[:120], tank, address, desk)
    turn.keep(Event("note", tank=tank, subject=f"person hurt: {turn.text.strip()}"))
    told = tuple(people.told(turn, name, words, sound=True) for name in names)
    return [Part(head=first, lines=(then, wording.told_others(names, address)), others=told, urgent=True)]


def _hazard(turn: Turn, item: Control) -> str:
    """The hazard; whoever cannot breathe where gas is spoken of must first of all get out."""
    hazard = item.subject or "hurt"
    if hazard not in ("breath", "faint"):
        return hazard
    return "gas" if says(turn.text, _GAS) else "palytoxin" if says(turn.text, _ZOANTHIDS) else hazard


_ZOANTHIDS = "zoa, zoas, zoanthid, zoanthids, paly, palys, palythoa, palytoxin, metallic taste, metal taste"
_GAS = "gas, fumes, chlorine, bleach, vapour, vapor, smoke, ozone, co2"


def _name_of(turn: Turn, item: Control) -> str | None:
    person = turn.team.person(item.who)
    return person.name if person else None


def _helpers(turn: Turn, tank: str | None) -> list[str]:
    """Whoever is there, the next colleague, the office and the owners; all of them, each once."""
    next_one = people.next_after(turn, turn.who.name, tank)
    office = [p.name for p in turn.team.with_role("office", "owner")]
    names = [*people.on_site(turn, tank), *([next_one] if next_one else []), *office]
    if len(set(names) - {turn.who.name}) < _THREE:
        names += [p.name for p in turn.team.people]
    return [n for n in dict.fromkeys(names) if n != turn.who.name]


_THREE = 3
