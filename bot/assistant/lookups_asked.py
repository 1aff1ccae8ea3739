"""What an everyday question is about: the tanks named (all of a site), the span of time, the person, the test."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

from bot.assistant import calendar
from bot.assistant.history_parts import tanks_named
from bot.assistant.turn import Turn
from bot.items import Question
from bot.team import Person, Tank
from bot.understanding.text import Text


@dataclass(frozen=True)
class Lookup:
    """An everyday question with the turn in which it was asked."""

    turn: Turn
    item: Question

    @property
    def about(self) -> str:
        """Which of the everyday subjects; "" where it is none of them."""
        return self._said("about")

    @property
    def parameter(self) -> str:
        """The test that is asked about."""
        return self._said("parameter") or next(self._tests(), "")

    @cached_property
    def named(self) -> list[Tank]:
        """The tanks that the words name; all that a name could mean ("ferndrake" has three)."""
        return [tank for name in tanks_named(self.turn) if (tank := self.turn.tank(name))]

    @property
    def here(self) -> list[Tank]:
        """The same; where none is named, the tank in hand."""
        in_hand = self.turn.tank(self.item.tank)
        return self.named or ([in_hand] if in_hand else [])

    @property
    def who(self) -> Person | None:
        """The person that the question is about."""
        return self.turn.team.person(self._said("who"))

    @cached_property
    def plan(self) -> calendar.Calendar:
        """The round as it stands."""
        return calendar.now(self.turn)

    @property
    def today(self) -> date:
        """Today on the team's clock."""
        return self.turn.local(self.turn.now).date()

    @property
    def day(self) -> date:
        """The day that is named, which lies ahead; else today."""
        return date.fromisoformat(self._said("day")) if self._said("day") else self.today

    @property
    def is_dated(self) -> bool:
        """Whether a day or a span was named."""
        return bool(self._said("day") or self._said("period"))

    @property
    def is_last_time(self) -> bool:
        """Whether the last visit is asked about."""
        return self._said("period") == "last_time"

    @property
    def last_day(self) -> date:
        """The last day of a span that lies ahead: of "this week" the sixth day from now."""
        return self.today + timedelta(days=6) if self._said("period") in ("week", "month") else self.day

    @property
    def since(self) -> date:
        """The first day of a span that lies behind: the one named, else the month so far. A weekday is the last one."""
        if self._said("day"):
            return self.day - timedelta(days=7) if self.day > self.today else self.day
        first = self.today.replace(day=1)
        spans = {
            "day": self.today,
            "yesterday": self.today - timedelta(days=1),
            "week": self.today - timedelta(days=6),
            "last_week": self.today - timedelta(days=13),
            "last_month": (first - timedelta(days=1)).replace(day=1),
            "year": self.today.replace(month=1, day=1),
        }
        return spans.get(self._said("period"), first)

    @property
    def start(self) -> datetime:
        """The midnight at which the span begins."""
        return datetime.combine(self.since, time(), self.turn.zone)

    @property
    def end(self) -> datetime:
        """The midnight at which the span is over, or now."""
        ends = {"yesterday": self.today, "last_week": self.today - timedelta(days=6)}
        ends["last_month"] = self.today.replace(day=1)
        day = ends.get(self._said("period"))
        day = self.since + timedelta(days=1) if day is None and self._said("day") else day
        return min(datetime.combine(day, time(), self.turn.zone), self.turn.now) if day else self.turn.now

    def _tests(self) -> Iterator[str]:
        """What the words name that is measured; "do" in a question is a verb."""
        assert self.turn.situation
        text = Text(self.item.text or self.turn.text, self.turn.situation)
        yield from (n.parameter for n in text.parameters if not n.letter and text.tokens[n.start].text != "do")

    def _said(self, name: str) -> str:
        return str(self.item.inputs.get(name, ""))
