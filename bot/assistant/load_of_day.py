"""U5: "enough for thursday?": what the day's visits take beside what this person's van has, and its water."""

from __future__ import annotations

from collections import Counter

from bot.assistant import calendar, forecast, stocked, vats
from bot.assistant.turn import Part, Turn
from bot.items import Stock
from bot.rules import setup
from bot.rules.stock import SHOP, Level
from bot.rules.supplies import Supply
from bot.team import Tank
from bot.wording import forecast as water_words
from bot.wording import supplies as wording
from bot.wording.entries import day


def answer(turn: Turn, item: Stock) -> list[Part]:
    """What is short for the day asked about, then its water."""
    now = turn.local(turn.now)
    when = item.due or now.date()
    planned = calendar.now(turn).planned(when)
    own = [p for p in planned if p.who in (turn.who.name, None)] or planned
    needs = _needs(turn, [p.tank for p in own])
    head, *lines = wording.load(day(when, now.date()).capitalize(), needs, stocked.us(turn))
    water = [water_words.line(d, now, vats.us(turn)) for d in forecast.days(turn, when, when)]
    return [Part(head=head, lines=(*water, *lines))]


def _needs(turn: Turn, tanks: list[Tank]) -> list[tuple[Supply, float, float | None]]:
    """Each test of the tanks' panels that comes from a counted kit: what is needed, and what is in the van."""
    levels = stocked.levels(turn)
    tests = Counter(p for t in tanks for p in (t.panel or setup.usual_panel(t.kind)))
    needed = [(level, float(tests[str(level.of.parameter)])) for level in levels.values()]
    return [(level.of, count, _at_hand(turn, level)) for level, count in needed if count]


def _at_hand(turn: Turn, level: Level) -> float | None:
    """What this person's van holds; the shop's, where no van was ever counted."""
    return level.places.get(turn.who.name, None if len(level.places) > 1 else level.places.get(SHOP))
