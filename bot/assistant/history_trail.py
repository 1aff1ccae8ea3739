"""Where an entry comes from: the trail of a day, and why something was done."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.assistant.history_parts import day_of, entries_of, latest, tank_of, today_of
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Control, Event, Reading
from bot.rules import consequences as rules
from bot.rules.words import says
from bot.store import logbook, said, worked
from bot.store.logbook import Fact
from bot.wording import history as wording


def trail(turn: Turn, item: Control) -> list[str]:
    """Every message of a day that says something of the tank: the words, the person, the times, what was read from it,
    and what became of that.
    """
    tank = str(tank_of(turn, item))
    today = turn.local(turn.now)
    day = day_of(turn, item) or (today.replace(hour=0, minute=0, second=0, microsecond=0), turn.now)
    facts = logbook.all_of(turn.db, tank, day[0], day[0] + timedelta(days=1))
    by_message: dict[int, list[Fact]] = {}
    for fact in sorted(facts, key=lambda f: f.id):
        by_message.setdefault(fact.message_id, []).append(fact)
    lines = [_message(turn, number, found) for number, found in by_message.items()]
    return [wording.trail_head(tank, turn.local(day[0]).date()), *(lines or [wording.NOTHING])]


def _message(turn: Turn, number: int, facts: list[Fact]) -> str:
    row = said.message(turn.db, number)
    read = [wording.trailed(f.item, _fate(turn, f)) for f in facts]
    written, came = (turn.local(t) for t in (said.written_at(row), said.came_at(row)))
    return wording.trail_line(str(row["who"]), str(row["text"]), written, came, read)


def _fate(turn: Turn, fact: Fact) -> list[tuple[str, str, datetime]]:
    """What became of a fact: (what, by whom, when), in order."""
    return [(what, who, turn.local(at)) for what, who, at in logbook.standings(turn.db, fact.id)]


def why(turn: Turn, item: Control) -> list[str]:
    """What was done that day, the reading that it came from, what was asked and worked out, who overrode what."""
    tank = str(tank_of(turn, item))
    day, event = day_of(turn, item), _event_in(item.reason or "")
    since, until = day if day else (None, turn.now)
    found = logbook.events(turn.db, tank, [event], since, until, limit=20)
    if not found:
        return [wording.none_done(tank, event, day[0].date() if day else None)]
    done = found[0]
    head = wording.done_line(tank, entries_of(turn, [done])[0], today_of(turn), len(found))
    sums = worked.at_tank(turn.db, tank, done.at - timedelta(hours=24), done.at)
    orders = logbook.events(turn.db, tank, (), done.at - timedelta(hours=1), done.at, kind="control")
    overrides = [f for f in orders if isinstance(f.item, Control) and f.item.action == "override"]
    before = _readings_behind(turn, tank, done)
    shown = [(turn.local(w.at), w.who, w.item, w.data) for w in sums]
    return [
        head, *wording.because(entries_of(turn, before), today_of(turn)), *wording.worked_out(shown, today_of(turn)),
        *wording.overridden_by(entries_of(turn, overrides)),
    ]  # fmt: skip


def _event_in(words: str) -> str:
    """What is asked about: a dose, unless the words name something else."""
    named = table("conversation")["asked_why"]
    return next((event for event, phrases in named.items() if event != "unit" and says(words, str(phrases))), "dose")


def _readings_behind(turn: Turn, tank: str, done: Fact) -> list[Fact]:
    """The readings before it that it can have come from: those of the same thing, else all of that visit."""
    before = [f for f in latest(turn, tank, done.at) if done.at - f.at < timedelta(days=7)]
    subject = (done.item.subject or "") if isinstance(done.item, Event) else ""
    same = [f for f in before if isinstance(f.item, Reading) and rules.stands_for(subject, f.item.parameter)]
    return same or before
