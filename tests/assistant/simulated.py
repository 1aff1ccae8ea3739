"""A crew of four with twenty tanks, played on the simulated clock: what they do, and what the bot says of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from random import Random
from typing import Any

from bot.assistant import calendar, route
from bot.assistant.desk import handle
from bot.assistant.due import next_moment
from bot.assistant.subjects import SUBJECTS
from bot.assistant.turn import Turn
from bot.messages import Tick
from bot.store.roster import load_team
from tests.assistant.crew import Day, at, tank

PANEL = ["temperature", "ph", "salinity", "nitrate"]
PLACES = ["Alder", "Birch", "Cedar", "Damson", "Elder", "Fern", "Gorse", "Hazel", "Iris", "Juniper"]


WEEK = ("mon", "tue", "wed", "thu", "fri")


def crew_of_twenty(weekdays: Sequence[str] = WEEK) -> dict[str, Any]:
    """Ten clients with two tanks each, seen to every week or fortnight, spread over the days named."""
    tanks = []
    for i, place in enumerate(PLACES):
        weekday = weekdays[i % len(weekdays)]
        who = "ines" if i % 2 else "tomasz"
        for j, room in enumerate(("hall", "bar")):
            every = 14 if i > 7 and j else 7
            tanks.append(tank(f"{place} {room}", f"{place} House", every, weekday, who, panel=PANEL))
    return {
        "name": "Twenty",
        "units": "us",
        "zone": "America/New_York",
        "people": [
            {"name": "ines", "role": "technician"},
            {"name": "tomasz", "role": "technician"},
            {"name": "petra", "role": "office"},
            {"name": "mara", "role": "owner"},
        ],
        "clients": [{"name": f"{p} House", "lat": 40 + i / 50, "lon": -74 - i / 70} for i, p in enumerate(PLACES)],
        "tanks": tanks,
        "vats": [{"name": "Vat A", "volume": {"value": 150, "unit": "gal"}, "holds": "salt"}],
    }


class Round(Day):
    """The crew at work. `done` are the tanks visited by day, `exceptions` what the owner must hear: (day, words)."""

    def __init__(self, seed: int, start: str, weekdays: Sequence[str] = WEEK) -> None:
        super().__init__(crew_of_twenty(weekdays), start)
        self.random = Random(seed)
        self.exceptions: list[tuple[str, str]] = []
        self.jobs: list[str] = []

    def until(self, then: datetime) -> None:
        """Everything that falls due happens at its own moment."""
        while (moment := next_moment(self.db)) is not None and moment <= then:
            self.now = moment.astimezone(self.now.tzinfo)
            handle(self.db, Tick(self.now))
        self.now = then

    def turn(self) -> Turn:
        team = load_team(self.db)
        return Turn(self.db, 1, self.now, self.now, team.people[0], "x", team, SUBJECTS)

    def plan(self) -> calendar.Calendar:
        return calendar.now(self.turn())

    def stops(self, who: str) -> list[str]:
        """The tanks of a person's day, in order."""
        found = route.route(self.plan(), who, self.plan().today)
        return [p.tank.name for halt in found.halts for p in halt.visits]

    def work_day(self, day: str) -> None:
        """One day: cards, visits with readings, water and a leaving, now and then something out of the ordinary."""
        self.until(at(f"{day}T08:30"))
        for name, who in self._visits():
            self._visit(name, who)
        self.until(max(self.now, at(f"{day}T18:31")))

    def _visits(self) -> Iterator[tuple[str, str]]:
        """Both rounds, one stop of each in turn; one visit in forty is forgotten."""
        rounds = {who: self.stops(who) for who in ("ines", "tomasz")}
        for i in range(max(map(len, rounds.values()), default=0)):
            for who, names in rounds.items():
                if i < len(names) and self.random.random() > 0.025:
                    yield names[i], who

    def _visit(self, name: str, who: str) -> None:
        """Ten minutes apart for the two of them; a loss, a pump left off with a reason, a value out of its limits."""
        day = f"{self.now:%Y-%m-%d}"
        self.until(self.now + timedelta(minutes=self.random.randint(8, 12)))
        chance = self.random.random()
        ph = 7.5 if chance > 0.97 else 8.2
        self.say(who, f"{name} temp 78 ph {ph} sg 1.0235 no3 {self.random.randint(8, 12)}, 10% wc")
        if ph == 7.5:
            self.exceptions.append((day, f"{name} pH 7.5"))
        if chance < 0.05:
            self.say(who, f"{name} lost 1 chromis")
            self.exceptions.append((day, f"{name} 1 chromis"))
        self.until(self.now + timedelta(minutes=self.random.randint(6, 9)))
        if 0.05 < chance < 0.08:
            self._leave_open(name, who, day)
        self.say(who, f"leaving {name}")

    def _leave_open(self, name: str, who: str, day: str) -> None:
        self.say(who, f"{name} return pump off")
        self.say(who, f"leaving {name}")
        self.say(who, "override: sump overflows, back tomorrow")
        self.exceptions.append((day, "sump overflows, back tomorrow"))
        self.say(who, f"{name} return pump on, flow seen")

    def said_unasked(self, day: str) -> list[dict[str, Any]]:
        """What was said unasked on that day, own waits apart."""
        begin = at(f"{day}T00:00").timestamp()
        sql = "select chat, text, sound, created_at as at from outbox where unasked = 1 and created_at between ? and ?"
        cursor = self.db.conn.execute(f"{sql} order by id", [begin, begin + 86400])
        return [dict(row) for row in cursor]
