"""The people of the team on file: in by a one-use code, their role and hours, out once their work has another owner."""

from __future__ import annotations

from bot.assistant import asking, jobs, people
from bot.assistant.setup_tanks import NOT_SET, stored
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Item, Setting, Task, changed
from bot.messages import Outgoing
from bot.store import accounts, codes, logbook, reminders, waits
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.store.roster import amend, amend_team, retire, set_up
from bot.team import Person
from bot.wording import setup as wording


def person(turn: Turn, item: Item) -> list[Part]:
    """Somebody comes (a one-use code goes to whoever asked) or leaves (the work goes to a named person first)."""
    assert isinstance(item, Setting)
    name = str(item.values["name"]).casefold()
    if item.values.get("removed"):
        return _leaves(turn, item, name)
    known = turn.team.person(name)
    if known:
        return role(turn, Setting("role", None, {"name": known.name, "role": item.values["role"]}))
    wanted = str(item.values["role"])
    set_up(turn.db, turn.message_id, "person", {"name": name, "role": wanted})
    accounts.new_invite(
        turn.db, turn.message_id, wanted, name, turn.now, code=codes.invitation(turn.db, turn.message_id)
    )
    lines = wording.invited(name, wanted, codes.shown("invite", turn.message_id), accounts.INVITE_HOURS)
    told = (Outgoing(turn.who.name, "\n".join(lines)),) if turn.chat != turn.who.name else ()
    return stored(turn, item, f"{wording.named(name)}, {wanted}", lines=() if told else tuple(lines[:1]), others=told)


def role(turn: Turn, item: Item) -> list[Part]:
    """Another role."""
    assert isinstance(item, Setting)
    known = turn.team.person(str(item.values["name"]))
    if known is None:
        return [_not_on_team(str(item.values["name"]))]
    if known.role == "owner" and item.values["role"] != "owner" and len(turn.team.with_role("owner")) == 1:
        return [Part(head=f"{wording.named(known.name)} is the only owner. {NOT_SET} Name another owner first.")]
    amend(turn.db, turn.message_id, "person", known.name, role=item.values["role"])
    return stored(turn, item, f"{wording.named(known.name)}, {item.values['role']} (was {known.role})")


def _leaves(turn: Turn, item: Setting, name: str) -> list[Part]:
    known = turn.team.person(name)
    if known is None:
        return [_not_on_team(name)]
    if known.role == "owner" and len(turn.team.with_role("owner")) == 1:
        return [Part(head=f"{wording.named(known.name)} is the only owner. {NOT_SET} Name another owner first.")]
    held, jobs = waits.open_waits(turn.db, owner=known.name), _tasks_of(turn, known.name)
    if not held and not jobs:
        return _taken_off(turn, item, known)
    others = [p.name for p in turn.team.people if p.name != known.name and p.role != "learner"]
    options = tuple((wording.named(n), n) for n in others[:3])
    text = wording.leaves(known.name, len(held), len(jobs))
    return [Part(ask=Ask(text, options, "remove", "remove_person", item, {"name": known.name}))]


def heir_named(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The person to whom everything goes: then, and not before, the one who leaves is off the list."""
    heir, leaver = turn.team.person((value or text).strip()), turn.team.person(str(question.data["name"]))
    if heir is None or leaver is None or heir.name == leaver.name:
        return None
    held = waits.open_waits(turn.db, owner=leaver.name)
    for wait in held:
        waits.alter_wait(turn.db, turn.message_id, wait.id, owner=heir.name, chat=heir.name)
    jobs = [_given(turn, fact, heir) for fact in _tasks_of(turn, leaver.name)]
    words = f"Yours from {wording.named(leaver.name)}: {len(held)} waits, {len(jobs)} tasks. Send: what's running"
    told = (people.told(turn, heir.name, words),) if heir.name != turn.who.name else ()
    item = Setting("person", None, {"name": leaver.name, "removed": True, "to": heir.name})
    parts = _taken_off(turn, item, leaver, f"{len(held)} waits and {len(jobs)} tasks to {wording.named(heir.name)}")
    return [*parts, Part(others=told), *asking.settled(turn, question)]


def _taken_off(turn: Turn, item: Setting, known: Person, *more: str) -> list[Part]:
    retire(turn.db, turn.message_id, "person", known.name)
    return stored(turn, item, f"{wording.named(known.name)} off the list, access ended", *more)


def _tasks_of(turn: Turn, name: str) -> list[Fact]:
    """Tasks still to come that are that person's."""
    found = (logbook.fact(turn.db, job.fact_id) for job in jobs.of_person(turn, name))
    return [f for f in found if f is not None]


def _given(turn: Turn, fact: Fact, heir: Person) -> Fact:
    """The task in another's name; its reminder goes along."""
    assert isinstance(fact.item, Task)
    logbook.void(turn.db, turn.message_id, fact.id, "handed over", turn.now)
    new_id = turn.keep(changed(fact.item, who=heir.name))
    for reminder in reminders.set_ones(turn.db, "task"):
        if reminder.fact_id == fact.id:
            values = {"who": heir.name, "chat": heir.name, "fact_id": new_id}
            reminders.alter_reminder(turn.db, turn.message_id, reminder.id, **values)
    return fact


def backup(turn: Turn, item: Item) -> list[Part]:
    """Who is called when somebody does not answer."""
    assert isinstance(item, Setting)
    who, other = turn.team.person(item.values["who"]), turn.team.person(item.values["backup"])
    if who is None or other is None or who.name == other.name:
        return [_not_on_team(f"{item.values['who']} or {item.values['backup']}")]
    amend(turn.db, turn.message_id, "person", who.name, backup=other.name)
    return stored(turn, item, f"{wording.named(who.name)}'s backup: {wording.named(other.name)}")


def of_team(turn: Turn, item: Item) -> list[Part]:
    """Who is on call, and who stands in for the owner."""
    assert isinstance(item, Setting)
    person = turn.team.person(item.values["who"])
    if person is None:
        return [_not_on_team(str(item.values["who"]))]
    amend_team(turn.db, turn.message_id, **{item.subject: person.name})
    return stored(turn, item, f"{item.subject.replace('_', ' ')}: {wording.named(person.name)}")


def quiet_hours(turn: Turn, item: Item) -> list[Part]:
    """One's own hours without a sound; what can hurt still rings whoever is on call."""
    assert isinstance(item, Setting)
    hours = {k: item.values[k] for k in ("from", "to")}
    amend(turn.db, turn.message_id, "person", turn.who.name, quiet=hours)
    return stored(turn, item, f"{wording.named(turn.who.name)}: quiet {hours['from']} to {hours['to']}")


def units(turn: Turn, item: Item) -> list[Part]:
    """One's own units."""
    assert isinstance(item, Setting)
    system = item.values["units"]
    amend(turn.db, turn.message_id, "person", turn.who.name, units=system)
    shown = {"us": "US units (gal, °F)", "metric": "metric units (L, °C)"}[system]
    return stored(turn, item, f"{wording.named(turn.who.name)}: {shown}")


def emergency(turn: Turn, item: Item) -> list[Part]:
    """The numbers that stand in the line that saves first."""
    assert isinstance(item, Setting)
    key = "poison" if "poison" in str(item.values["name"]) else "number"
    numbers = dict(turn.team.data.get("emergency", {})) | {key: str(item.values["text"])}
    amend_team(turn.db, turn.message_id, emergency=numbers)
    return stored(turn, item, f"{item.values['name']}: {item.values['text']}")


def _not_on_team(name: str) -> Part:
    return Part(head=f"{wording.named(name)} is not on the team's list. {NOT_SET} Send the name as the list has it.")
