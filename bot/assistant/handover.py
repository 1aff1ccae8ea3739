"""Handing over: asked, not assigned. Until somebody takes it, it stays with whoever had it."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant import asking, people, running, which
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.messages import Button
from bot.rules.waits import after
from bot.store import reminders
from bot.store import waits as store
from bot.store.pending import Pending
from bot.store.reminders import Reminder
from bot.team import Person
from bot.wording import handover as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """ "give the drip to tomasz", "hand over to ravi": the waits that are meant, all of them where none is named."""
    assert isinstance(item, Control)
    meant = [it for state in ("asked", "gate", "running") for it in which.meant(turn, item, (state,))]
    found = [it for it in {it.id: it for it in meant}.values() if it.row.owner == turn.who.name]
    if not found:
        return [Part(lines=("Nothing of yours is running.",))]
    person = turn.team.person(item.who)
    if item.who and (person is None or person.name == turn.who.name):
        return [Part(lines=(wording.not_on_team(item.who),))]
    return _ask_person(turn, found, person) if person else [_whom(turn, found)]


def press(turn: Turn, it: Running) -> list[Part]:
    """[Hand over] under a ping: to whom is asked."""
    return [_whom(turn, [it])] if it.row.owner == turn.who.name else []


def offer(turn: Turn, its: Sequence[Running]) -> list[Part]:
    """To whom several are to go is asked."""
    return [_whom(turn, its)] if its else []


def whom_answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The person is named: that person is asked."""
    person = turn.team.person(value or text.strip())
    if person is None or person.name == turn.who.name:
        return None
    rows = [w for i in question.data["ids"] if (w := store.find(turn.db, int(i))) and w.is_open]
    own = [running.of(turn, w) for w in rows if w.owner == turn.who.name]
    return [*(_ask_person(turn, own, person) if own else []), *asking.settled(turn, question)]


def press_answer(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Take it] or [Can't]: "h:12:take"; only by whom it was asked, only while it is asked."""
    row = store.find(turn.db, int(args[0]))
    if row is None or not row.is_open or (row.data.get("handover") or {}).get("to") != turn.who.name:
        return []
    it = running.of(turn, row)
    return taken(turn, [it]) if args[1] == "take" else declined(turn, [it])


def answer(turn: Turn, item: Control) -> list[Part] | None:
    """ "take it", "can't" in words: of everything this person is asked to take."""
    asked = [w for w in store.called_in(turn.db, turn.who.name) if _asked_of(w) == turn.who.name]
    its = [running.of(turn, w) for w in asked]
    if not its:
        return None
    if "take_it" in item.answers or "on_it" in item.answers or "yes" in item.answers:
        return taken(turn, its)
    return declined(turn, its) if {"cannot", "decline", "no"} & set(item.answers) else None


def taken(turn: Turn, its: Sequence[Running]) -> list[Part]:
    """From here on it is theirs; both hear it."""
    giver = its[0].row.owner
    for it in its:
        _change_owner(turn, it)
    words = wording.has_taken([it.shown for it in its], turn.who.name)
    head = wording.yours([it.shown for it in its])
    buttons = running.ping_buttons(its[0]) if len(its) == 1 and its[0].row.state == "asked" else ()
    return [Part(head=head, buttons=buttons, others=(people.told(turn, giver, words),))]


def declined(turn: Turn, its: Sequence[Running]) -> list[Part]:
    """It stays where it was; whoever asked hears it at once."""
    giver = its[0].row.owner
    for it in its:
        store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "handover": None})
    words = wording.cannot([it.shown for it in its], turn.who.name)
    return [Part(lines=(f"Noted. It stays with {giver}.",), others=(people.told(turn, giver, words, sound=True),))]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """Three minutes have passed: whoever asked is told that it is still theirs."""
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
    open_rows = [w for i in reminder.data["ids"] if (w := store.find(turn.db, int(i))) and w.is_open]
    asked = [w for w in open_rows if (w.data.get("handover") or {}).get("to") == reminder.data["to"]]
    if not asked or not reminder.chat:
        return []
    its = [running.of(turn, w) for w in asked]
    words = wording.not_taken([it.shown for it in its], str(reminder.data["to"]))
    return [Part(others=(people.told(turn, its[0].row.owner, words, sound=True),), urgent=True)]


def _whom(turn: Turn, its: Sequence[Running]) -> Part:
    others = [p for p in turn.team.people if p.name != turn.who.name]
    here = people.on_site(turn, its[0].row.tank)
    ranked = sorted(others, key=lambda p: (p.name not in here, _RANK.get(p.role, 9)))
    options = tuple((p.name, p.name) for p in ranked[:3])
    text = wording.whom([it.shown for it in its])
    return Part(ask=Ask(text, options, "handover", "handover", None, {"ids": [it.id for it in its]}))


_RANK = {"technician": 0, "owner": 1, "learner": 2, "office": 3}


def _ask_person(turn: Turn, its: Sequence[Running], person: Person) -> list[Part]:
    for it in its:
        asked = {"to": person.name, "at": turn.now.timestamp()}
        store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "handover": asked})
    wait = table("pings")["handover"]["value"]
    reminders.set_reminder(
        turn.db, turn.message_id, "handover", after(turn.now, wait), turn.who.name, turn.who.name, its[0].row.tank,
        ids=[it.id for it in its], to=person.name,
    )  # fmt: skip
    shown = [it.shown for it in its]
    request = people.told(turn, person.name, wording.request(shown, turn.who.name), _answers(its), sound=True)
    return [Part(head=wording.asked(shown, person.name), others=(request,))]


def _answers(its: Sequence[Running]) -> tuple[Button, ...]:
    if len(its) > 1:
        ids = f"{its[0].id}:{its[-1].id}"
        return (Button("Take it", f"hm:{ids}:take"), Button("Can't", f"hm:{ids}:cant"))
    return (Button("Take it", f"h:{its[0].id}:take"), Button("Can't", f"h:{its[0].id}:cant"))


def press_many(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Take it] or [Can't] under several at once."""
    first, last = int(args[0]), int(args[1])
    asked = [w for w in store.called_in(turn.db, turn.who.name) if first <= w.id <= last]
    own = [running.of(turn, w) for w in asked if _asked_of(w) == turn.who.name]
    if not own:
        return []
    return taken(turn, own) if args[2] == "take" else declined(turn, own)


def _asked_of(row: store.WaitRow) -> str | None:
    """Who is asked to take it."""
    return (row.data.get("handover") or {}).get("to")


def _change_owner(turn: Turn, it: Running) -> None:
    answered = it.row.state != "running"
    store.alter_wait(
        turn.db, turn.message_id, it.id, owner=turn.who.name, chat=turn.who.name,
        next_at=None if answered else it.row.next_at, data={**it.row.data, "handover": None},
    )  # fmt: skip
