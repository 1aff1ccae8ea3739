"""W5: the owner's year when asked: what was done, what ends or falls due in the next one, what overrides led to."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.assistant import calendar, exceptions, judging, owner, renewals, vats
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Reading
from bot.store import logbook
from bot.wording import owner as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """The year in at most five lines."""
    now = turn.local(turn.now)
    start, today = datetime(now.year, 1, 1, tzinfo=turn.zone), now.date()
    seen = [s for each in calendar.now(turn, start).seen.values() for s in each if s.day.year == now.year]
    lost = sum(n for _, n in owner.lost(turn, start, turn.now))
    ends = [(f"{client} {what}", day) for client, what, day in renewals.ends(turn)]
    lines = [
        wording.year(now.year, len(seen), lost, owner.litres(turn, start, turn.now), vats.us(turn)),
        wording.dated("Ends", ends, today),
        wording.dated("Calibrate", renewals.calibrations(turn), today),
        wording.dated("Renew", renewals.expiries(turn), today),
        wording.overridden([_led_to(turn, fact) for fact in exceptions.overrides(turn, start)]),
    ]
    return [Part(head="\n".join(line for line in lines if line))]


def _led_to(turn: Turn, fact: logbook.Fact) -> str:
    """An override with what went wrong at its tank in the two weeks after it: losses, tests out of their limits."""
    assert isinstance(fact.item, Control)
    tank, until = fact.item.tank or "", fact.at + timedelta(days=table("cards")["watch"]["value"])
    losses = logbook.events(turn.db, tank, ["livestock_lost"], fact.at, until)
    words = [wording.event_words(f.item) for f in losses if isinstance(f.item, Event)]
    told = table("cards")["exceptions"]["verdicts"]
    for test, verdicts in judging.judged_since(turn, tank, fact.at):
        if test.at <= until and isinstance(test.item, Reading) and any(v.kind in told for v in verdicts):
            words.append(wording.test_words(test.item))
    today = turn.local(turn.now).date()
    return wording.led_to(fact.who, fact.item, turn.local(fact.at).date(), today, list(dict.fromkeys(words)))
