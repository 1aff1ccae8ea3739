"""The points about a tank that somebody should keep in mind, worst first: what its last numbers say, what stands open,
what broke, what was lost, what somebody noted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from bot.assistant import judging, running
from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Event, Reading
from bot.rules.words import says
from bot.store import logbook, waits
from bot.store.logbook import Fact
from bot.wording import readings as wording
from bot.wording import watch as words

# Verdicts of this moment and no other: they say nothing of the days since.
_PASSING = ("unmixed", "unlike")
_OPEN, _BROKEN, _LOSSES, _NOTE = 5, 8, 9, 40
_READING = 10


@dataclass(frozen=True)
class Point:
    """One thing to keep in mind, in words without an opening; the lower its rank, the sooner hands must move."""

    tank: str
    rank: int
    text: str
    kind: str


def points(turn: Turn, tank: str) -> list[Point]:
    """All there is to watch at a tank, the most pressing first."""
    found = (look(turn, tank) for look in (_open, _broken, _losses, _readings, _notes))
    return sorted((point for each in found for point in each), key=lambda p: p.rank)


def is_alarm(found: Sequence[Point]) -> bool:
    """Whether something is out of the limits at which somebody must act."""
    return any(p.kind in ("poison", "free_ammonia", "alarm") for p in found)


def latest(turn: Turn, tank: str, limit: int = 80) -> list[Fact]:
    """The newest confirmed reading of each parameter of the tank's own water."""
    found: dict[str, Fact] = {}
    for fact in logbook.events(turn.db, tank, kind="reading", until=turn.now, limit=limit):
        item = fact.item
        if isinstance(item, Reading) and item.of == "tank" and not item.unconfirmed:
            found.setdefault(item.parameter, fact)
    return list(found.values())


def _readings(turn: Turn, tank: str) -> Iterator[Point]:
    for fact in latest(turn, tank):
        assert isinstance(fact.item, Reading)
        item = replace(fact.item, at=turn.local(fact.at))
        for verdict in judging.verdicts(replace(turn, message_id=fact.message_id), item):
            if verdict.kind not in _PASSING:
                text = words.without_opening(wording.remark(verdict))
                yield Point(tank, _READING + verdict.rank, text, verdict.kind)


def _open(turn: Turn, tank: str) -> Iterator[Point]:
    for row in waits.open_waits(turn.db, tank=tank):
        it = running.of(turn, row)
        if row.state != "running" or row.data.get("end"):
            yield Point(tank, _OPEN, words.since(it.shown.thing, turn.local(row.started_at)), "open")


def _recent(turn: Turn, tank: str, names: Sequence[str]) -> list[Fact]:
    since = turn.now - timedelta(days=table("cards")["watch"]["value"])
    return logbook.events(turn.db, tank, names, since=since)


def _broken(turn: Turn, tank: str) -> Iterator[Point]:
    """What broke and was not said to be mended since."""
    seen: set[str] = set()
    for fact in _recent(turn, tank, ["equipment"]):
        item = fact.item
        if not isinstance(item, Event) or not item.subject or item.subject in seen:
            continue
        seen.add(item.subject)
        if item.state == "broken":
            text = words.since(f"{item.subject} broken", turn.local(fact.at))
            yield Point(tank, _BROKEN, text, "broken")


def _losses(turn: Turn, tank: str) -> Iterator[Point]:
    found = [f.item for f in _recent(turn, tank, ["livestock_lost"]) if isinstance(f.item, Event)]
    lost = sum(item.count or 1 for item in found)
    if lost:
        yield Point(tank, _LOSSES, words.losses(lost, int(table("cards")["watch"]["value"])), "loss")


def _notes(turn: Turn, tank: str) -> Iterator[Point]:
    """The newest note that is not just that all is well."""
    told = ((f, f.item.subject) for f in _recent(turn, tank, ["note"]) if isinstance(f.item, Event))
    for fact, subject in [(f, s) for f, s in told if s and not _all_is_well(s)][:1]:
        yield Point(tank, _NOTE, words.since(subject, turn.local(fact.at)), "note")


def _all_is_well(subject: str) -> bool:
    """A look at which nothing was seen: "daily look done", "all eating"."""
    well = set(table("cards")["well"]["words"])
    return says(subject, table("words_events")["look"]["looked"]) or set(subject.casefold().split()) <= well
