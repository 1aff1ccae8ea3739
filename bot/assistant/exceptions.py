"""What the owner must know and nothing else: gates gone past, losses, what stands open, what is drifting."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.assistant import running, stocked, watch
from bot.assistant.calendar import Calendar
from bot.assistant.turn import Turn
from bot.assistant.watch import Point
from bot.facts.load import table
from bot.items import Control, Event, Reading
from bot.store import logbook, waits
from bot.store.logbook import Fact
from bot.wording import owner as wording
from bot.wording import supplies


@dataclass(frozen=True)
class Found:
    """The exceptions of a span of time, each kind in words; `worst` is the tank that most needs a look."""

    hurt: tuple[str, ...] = ()
    overrides: tuple[str, ...] = ()
    losses: tuple[str, ...] = ()
    open: tuple[str, ...] = ()
    watch: tuple[str, ...] = ()
    unconfirmed: tuple[str, ...] = ()
    runs_out: tuple[str, ...] = ()
    worst: str | None = None

    @property
    def lines(self) -> list[str]:
        """A line for each kind that there is something of."""
        said = (
            ("Hurt", self.hurt), ("Override", self.overrides), ("Lost", self.losses), ("Open", self.open),
            ("Watch", self.watch), ("Unconfirmed", self.unconfirmed), ("Runs out", self.runs_out),
        )  # fmt: skip
        return [f"{opening}: {' · '.join(each)}" for opening, each in said if each]


def since(turn: Turn, plan: Calendar, start: datetime) -> Found:
    """Everything out of the ordinary from `start` to now."""
    points = list(_points(turn, start))
    return Found(
        tuple(_controls(turn, start, "person_hurt")),
        tuple(_controls(turn, start, "override")),
        tuple(_losses(turn, start)),
        tuple(_open(turn, start)),
        tuple(wording.point(p.tank, p.text) for p in points),
        tuple(_unconfirmed(turn, start)),
        tuple(_runs_out(turn)),
        points[0].tank if points else None,
    )


def _runs_out(turn: Turn) -> Iterator[str]:
    """Supplies that had to be ordered by today and are not; the office hears of them first, where there is one."""
    today = turn.local(turn.now).date()
    if turn.team.with_role("office"):
        late = (f for f in stocked.low(turn) if f.order_by and f.order_by <= today)
        yield from (supplies.runs_out(f, today) for f in late)


def overrides(turn: Turn, start: datetime, until: datetime | None = None) -> list[Fact]:
    """Who went past a gate, the latest first."""
    facts = logbook.events(turn.db, None, since=start, until=until, kind="control", limit=2000)
    return [f for f in facts if isinstance(f.item, Control) and f.item.action == "override"]


def _controls(turn: Turn, start: datetime, action: str) -> Iterator[str]:
    facts = logbook.events(turn.db, None, since=start, kind="control", limit=500)
    for fact in reversed(facts):
        if isinstance(fact.item, Control) and fact.item.action == action:
            yield wording.control(fact.who, fact.item)


def _losses(turn: Turn, start: datetime) -> Iterator[str]:
    for fact in reversed(logbook.events(turn.db, None, ["livestock_lost"], since=start)):
        assert isinstance(fact.item, Event)
        yield wording.loss(fact.item)


def _open(turn: Turn, start: datetime) -> Iterator[str]:
    """What is over and unanswered, or left off for longer than was said: once, when it has been so for a while."""
    over = timedelta(minutes=table("cards")["over"]["value"])
    for row in waits.open_waits(turn.db):
        it = running.of(turn, row)
        if it.kind.leave and start - over <= row.due_at < turn.now - over:
            yield wording.point(it.shown.place or "", f"{it.shown.thing} since {turn.local(row.started_at):%H:%M}")


def _points(turn: Turn, start: datetime) -> Iterator[Point]:
    """What the new numbers say, the worst tank first."""
    told = table("cards")["exceptions"]["verdicts"]
    facts = logbook.events(turn.db, None, since=start, kind="reading", limit=2000)
    tanks = {f.item.tank for f in facts if isinstance(f.item, Reading) and f.item.tank and f.item.of == "tank"}
    found = [p for tank in sorted(tanks) for p in [q for q in watch.points(turn, tank) if q.kind in told][:1]]
    yield from sorted(found, key=lambda p: p.rank)


def _unconfirmed(turn: Turn, start: datetime) -> Iterator[str]:
    for fact in reversed(logbook.events(turn.db, None, since=start, kind="reading", limit=2000)):
        if isinstance(fact.item, Reading) and fact.item.unconfirmed:
            yield wording.unconfirmed(fact.item)
