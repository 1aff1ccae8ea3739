"""Who can be told: private chats, who is at a site, who comes next, who owns the business."""

from __future__ import annotations

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.messages import Button, Outgoing
from bot.rules import ladder, quiet
from bot.rules.waits import after
from bot.rules.words import says
from bot.store import conversations
from bot.team import Client, Person


def told(
    turn: Turn, name: str, text: str, buttons: tuple[Button, ...] = (), sound: bool = False
) -> Outgoing:  # fmt: skip
    """A message to a person's private chat that nobody asked for."""
    return Outgoing(to=name, text=text, buttons=buttons, unasked=True, sound=sound)


def site_of(turn: Turn, tank: str | None) -> tuple[str, ...]:
    """The tanks that stand at the same place: those of one client; the tank alone where it has none."""
    known = turn.tank(tank)
    if known is None:
        return (tank,) if tank else ()
    return tuple(t.name for t in turn.team.tanks if t.client == known.client) if known.client else (known.name,)


def tank_spoken_of(turn: Turn) -> str | None:
    """The tank that the words name, whatever else they say."""
    names = {t.name: ", ".join((t.name, *t.nicknames)) for t in turn.team.tanks}
    return next((name for name, words in names.items() if says(turn.text, words)), None)


def client_of(turn: Turn, tank: str | None) -> Client | None:
    """Whose site it is."""
    return turn.team.client_of(turn.tank(tank))


def on_site(turn: Turn, tank: str | None) -> list[str]:
    """Who used a tank of that site lately and has not left it, the latest first."""
    site = site_of(turn, tank)
    if not site:
        return []
    since = after(turn.now, -table("pings")["on_site"]["value"])
    found = [c.who for c in conversations.in_use(turn.db, site, since) if c.who]
    people = (turn.team.person(name) for name in dict.fromkeys(found))
    return [p.name for p in people if p and p.role != "office"]  # the office speaks of tanks from its desk


def next_after(turn: Turn, holder: str, tank: str | None) -> str | None:
    """Who is asked when the holder is silent: at the site, the backup, on call at night, then the others."""
    person = turn.team.person(holder)
    backup = person.data.get("backup") if person else None
    others = [p.name for role in ("technician", "office", "learner", "owner") for p in turn.team.with_role(role)]
    awake = [n for n in others if not is_off(turn, n)]
    on_call = turn.team.data.get("on_call")
    first = on_site(turn, tank)
    if on_call and is_off(turn, holder):
        first = [*first, str(on_call)]
    return ladder.next_person(holder, first, backup, [*awake, *others])


def owner_after(turn: Turn, holder: str) -> str | None:
    """The owner, or the deputy; the holder's own turn is never counted."""
    owners = [p.name for p in turn.team.with_role("owner") if p.name != holder]
    deputy = turn.team.data.get("deputy")
    return owners[0] if owners else str(deputy) if deputy and deputy != holder else None


def office(turn: Turn) -> tuple[Person, ...]:
    """Who does the office's work: the office, else the owner."""
    return turn.team.with_role("office") or turn.team.with_role("owner")


def is_off(turn: Turn, name: str) -> bool:
    """Whether it is that person's quiet time."""
    person = turn.team.person(name)
    return person is not None and quiet.is_quiet(person, turn.local(turn.now))


def known(turn: Turn, name: str) -> Person:
    """The person of that name; the one who speaks where the name has left the team."""
    return turn.team.person(name) or turn.who
