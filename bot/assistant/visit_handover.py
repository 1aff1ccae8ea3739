"""A visit, or what is left of a day, handed over: asked, not assigned; whoever plans the round assigns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.assistant import calendar, handover, people, round
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Schedule
from bot.messages import Button
from bot.rules.waits import after
from bot.store import reminders
from bot.store import waits as store
from bot.store.reminders import Reminder
from bot.team import Person
from bot.wording import visit_handover as wording

KIND = "visit_offer"
PLANNERS = ("office", "owner")


def take(turn: Turn, item: Item) -> list[Part]:
    """ "give tarnwick to ines": the visit, where no wait of one's own runs there; "give my day to ines": all of it."""
    assert isinstance(item, Control)
    person = turn.team.person(item.who)
    tanks = _meant(turn, item)
    if item.wait or person is None or person.name == turn.who.name or not tanks:
        return handover.take(turn, item)
    day = item.date or turn.local(turn.now).date()
    if turn.who.role in PLANNERS:
        given = [Schedule("visit", name, person.name, due=item.date) for name in tanks]
        return [p for each in given for p in round.take(turn, each)]
    return [_asked(turn, person, tanks, day)]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Take it] or [Can't] under the request: by whom it was asked, once."""
    offer = next((r for r in reminders.set_ones(turn.db, KIND) if r.id == int(args[0])), None)
    if offer is None or offer.who != turn.who.name:
        return []
    tanks, giver = list(offer.data["tanks"]), str(offer.chat)
    reminders.alter_reminder(turn.db, turn.message_id, offer.id, state="done")
    if args[1] != "take":
        told = people.told(turn, giver, wording.cannot(turn.who.name, tanks), sound=True)
        return [Part(lines=(wording.noted(giver),), others=(told,))]
    day = date.fromisoformat(str(offer.data["day"]))
    for name in tanks:
        turn.keep(Schedule("visit", name, turn.who.name, due=day))
    told = people.told(turn, giver, wording.has_taken(turn.who.name, tanks))
    return [Part(said=(wording.yours(tanks, day, turn.local(turn.now).date()),), stored=True, others=(told,))]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """Nobody took it in time: whoever asked is told that it is still theirs. It can still be taken."""
    later = after(turn.now, _UNTIL_MIN)
    state = {"at": later} if not reminder.data.get("told") else {"state": "done"}
    data = {**reminder.data, "told": True}
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, data=data, **state)
    if reminder.data.get("told") or not reminder.chat:
        return []
    words = wording.not_taken(str(reminder.who), list(reminder.data["tanks"]))
    return [Part(others=(people.told(turn, reminder.chat, words, sound=True),), urgent=True)]


_UNTIL_MIN = 12 * 60.0


def _meant(turn: Turn, item: Control) -> list[str]:
    """The tank named, where nothing of the speaker's runs there; of a whole day, every stop that is left."""
    if item.tank:
        return [] if store.open_waits(turn.db, owner=turn.who.name, tank=item.tank) else [item.tank]
    if not set(turn.text.casefold().split()) & set(table("round")["handed"]["words"]):
        return []
    plan = calendar.now(turn)
    return [p.tank.name for p in plan.planned(plan.today) if p.who == turn.who.name]


def _asked(turn: Turn, person: Person, tanks: Sequence[str], day: date) -> Part:
    wait = float(table("pings")["handover"]["value"])
    offer = reminders.set_reminder(
        turn.db, turn.message_id, KIND, after(turn.now, wait), person.name, turn.who.name, tanks=list(tanks),
        day=day.isoformat(),
    )  # fmt: skip
    buttons = (Button("Take it", f"vh:{offer}:take"), Button("Can't", f"vh:{offer}:cant"))
    words = wording.request(turn.who.name, tanks, day, turn.local(turn.now).date())
    request = people.told(turn, person.name, words, buttons, sound=True)
    return Part(head=wording.asked(person.name, tanks), others=(request,))
