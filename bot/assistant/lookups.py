"""Everyday questions about the record, the round and the team: one table by what is asked; else a plain word."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.assistant import again, batches, lookups_tank, lookups_team, supplies_cost
from bot.assistant.lookups_asked import Lookup
from bot.assistant.turn import Part, Turn
from bot.items import Batch, Item, Question, Stock, Understood
from bot.understanding.lexicon import lexicon
from bot.understanding.text import Text
from bot.wording import lookups as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """The answer from the record; where there is none, one plain line says so and what can be asked."""
    assert isinstance(item, Question)
    asked = Lookup(turn, item)
    return _ANSWERS.get(asked.about, _unknown)(asked)


def small_talk(turn: Turn, understood: Understood, parts: Sequence[Part]) -> list[Part]:
    """Words that are no entry and no question, or answers to nothing, are not met with silence where they were said to
    the bot alone.
    """
    says_nothing = all(getattr(item, "action", "") == "answer" for item in understood.items)
    if turn.group or not turn.text.strip() or not says_nothing or any(map(_speaks, parts)):
        return []
    answers = lexicon("words_controls", "bare").at(Text(turn.text, turn.situation).tokens, 0) if turn.situation else []
    return [Part(head=wording.NOT_ASKED if answers or understood.items else wording.greeting(turn.who.role))]


def _speaks(part: Part) -> bool:
    return bool(part.head or part.said or part.lines or part.remark or part.ask or part.others)


def _unknown(asked: Lookup) -> list[Part]:
    """A judgement of a test is answered with what the tank should have; nothing is ever said to be safe."""
    if asked.parameter and asked.here:
        return _verdict(asked)
    return [Part(head=wording.UNKNOWN, lines=(wording.can_ask(asked.turn.who.role),))]


def _verdict(asked: Lookup) -> list[Part]:
    """Of a vat, what stands in it; of a tank, the last value beside what it should be."""
    vat = asked.item.vat
    return batches.take(asked.turn, Batch("asked", vat)) if vat else lookups_tank.verdict(asked)


def _costs(asked: Lookup) -> list[Part]:
    tank = asked.named[0].name if len(asked.named) == 1 else None
    return supplies_cost.answer(asked.turn, Stock("costs", "asked", tank=tank, due=asked.since.replace(day=1)))


def _batches(asked: Lookup) -> list[Part]:
    return batches.take(asked.turn, Batch("asked"))


_ANSWERS: dict[str, Callable[[Lookup], list[Part]]] = {
    "again": lambda asked: again.take(asked.turn, asked.item),
    "card": lookups_tank.card,
    "volume": lookups_tank.volume,
    "that_water": lookups_tank.that_water,
    "limits": lookups_tank.limits,
    "limits_of": lookups_tank.limits,
    "verdict": _verdict,
    "notes": lookups_tank.notes,
    "contact": lookups_tank.contact,
    "contract": lookups_tank.contract,
    "minutes": lookups_tank.minutes,
    "panel": lookups_tank.panel,
    "jobs": lookups_tank.jobs_here,
    "next_visit": lookups_tank.next_visit,
    "visitor": lookups_tank.next_visit,
    "due": lookups_tank.next_visit,
    "team": lookups_team.team,
    "person": lookups_team.person,
    "doings": lookups_team.doings,
    "overdue": lookups_team.overdue,
    "trouble": lookups_team.trouble,
    "losses": lookups_team.losses,
    "overrides": lookups_team.overrides,
    "compare": lookups_team.compare,
    "costs": _costs,
    "batches": _batches,
    "time": lambda asked: [Part(head=wording.time(asked.turn.local(asked.turn.now)))],
    "name": lambda asked: [Part(head=wording.NAME, lines=(wording.can_ask(asked.turn.who.role),))],
}
