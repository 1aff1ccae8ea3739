"""What the day's stops need from the shop: water for the changes, and the things that the jobs take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from bot.assistant import calendar, forecast, jobs, vats
from bot.assistant.calendar import Planned
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Item
from bot.store import batches
from bot.wording import cards as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """ "load list": of today, or of the next day with stops."""
    plan = calendar.now(turn)
    day = next((p.day for p in plan.planned(plan.today, plan.today + calendar.WEEK) if p.who == turn.who.name), None)
    if day is None:
        return [Part(head="No stops planned for you this week.")]
    visits = [p for p in plan.planned(day) if p.who == turn.who.name]
    return [Part(head=wording.load(day, lines(turn, visits, day)))]


def lines(turn: Turn, visits: Sequence[Planned], day: date) -> list[str]:
    """A line for each water, and one for the things."""
    us = vats.us(turn)
    said = [wording.bring([each], [], us) for each in waters(turn, visits, day)]
    said.append(wording.bring([], things(turn, visits), us))
    return [line.removeprefix("Bring: ") for line in said if line]


def bring(turn: Turn, visits: Sequence[Planned], day: date) -> str | None:
    """The same in one line."""
    return wording.bring(waters(turn, visits, day), things(turn, visits), vats.us(turn))


def waters(turn: Turn, visits: Sequence[Planned], day: date) -> list[tuple[str, float, bool]]:
    """The kinds of new water with their litres and whether the vats are short of it: the changes and a little more."""
    own = {p.tank.name for p in visits}
    reserve = float(table("round")["change"]["reserve"]["value"])
    needs: dict[str, float] = {}
    for draw in forecast.draws(turn, day, day):
        needs[draw.kind] = needs.get(draw.kind, 0.0) + (draw.litres * reserve if draw.tank in own else 0.0)
    short = {d.kind for d in forecast.days(turn, day, day) if d.is_short} if batches.is_in_use(turn.db) else set()
    return [(kind, litres, kind in short) for kind, litres in needs.items() if litres]


def things(turn: Turn, visits: Sequence[Planned]) -> list[tuple[str, int]]:
    """What the jobs that land on the visits use up, with how many of each."""
    verbs = table("tasks")["bring"]["verbs"]
    todo = jobs.still_open(turn)
    texts = [
        job.text for p in visits for job in jobs.at_visit(todo, p.tank.name, p.day, calendar.following(p.tank, p.day))
    ]
    split = [text.split(maxsplit=1) for text in texts]
    used = [words[1].casefold() for words in split if len(words) == 2 and words[0].casefold() in verbs]
    return list(Counter(used).items())
