"""Six invented weeks of four people and twenty tanks: they visit by the round, mix what the evening line says, order
what they are told. The script keeps its own tally by hand, from its own schedule and its own sums."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.assistant.desk import handle
from bot.assistant.due import next_moment
from bot.messages import Tick
from tests.assistant.team import Chat

ZONE = ZoneInfo("America/New_York")
FIRST_DAY, DAYS = date(2026, 3, 16), 42
BEGINNING = datetime.combine(FIRST_DAY - timedelta(days=1), time(9), ZONE)
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
YIELD_G_L, BAG_KG, DELIVERY_DAYS, OPENING_KG = 37.5, 20.0, 5, 80.0
NAMES = (
    "Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Gum", "Hazel", "Ivy", "Juniper", "Kapok", "Larch", "Maple",
    "Nutmeg", "Oak", "Pine", "Quince", "Rowan", "Sorrel", "Teak",
)  # fmt: skip


@dataclass(frozen=True)
class Tank:
    """A tank of the round: salt water every week or fortnight, fresh water from the client's own tap."""

    name: str
    kind: str
    litres: int
    weekday: int
    every_weeks: int
    change_L: int

    def is_due(self, day: date) -> bool:
        """By a rule of our own: its weekday, counted in weeks from the first."""
        return day.weekday() == self.weekday and ((day - FIRST_DAY).days // 7) % self.every_weeks == 0

    @property
    def is_salt(self) -> bool:
        return self.kind == "reef"


def tanks() -> list[Tank]:
    """Fifteen reefs and five fresh tanks over five weekdays."""
    chance, found = random.Random(7), []
    for number, name in enumerate(NAMES):
        litres = chance.randrange(200, 700, 10)
        weeks = 2 if number % 4 == 3 else 1
        kind = "reef" if number < 15 else "tropical community"
        change = round(litres * chance.choice((0.1, 0.15, 0.2)))
        found.append(Tank(f"{name} house", kind, litres, number % 5, weeks, change))
    return found


def team(found: list[Tank]) -> dict[str, Any]:
    """The team's JSON."""
    people = (("mara", "owner"), ("ines", "technician"), ("tomasz", "technician"), ("petra", "office"))
    return {
        "name": "Month of water", "units": "metric", "zone": "America/New_York", "salt_g_per_L_at_35": YIELD_G_L,
        "people": [{"name": name, "role": role} for name, role in people],
        "supplies": {"salt": {"pack": BAG_KG * 1000, "lead_days": DELIVERY_DAYS}},
        "tanks": [
            {"name": t.name, "kind": t.kind, "volume": {"value": t.litres, "unit": "L"}, "who": _who(t),
             "every_days": 7 * t.every_weeks, "weekday": WEEKDAYS[t.weekday],
             "panel": ["temperature", "ph", "salinity", "nitrate"]} for t in found
        ],
        "vats": [
            {"name": "Vat A", "volume": {"value": 2500, "unit": "L"}, "holds": "salt"},
            {"name": "Vat B", "volume": {"value": 500, "unit": "L"}, "holds": "fresh"},
        ],
    }  # fmt: skip


def _who(tank: Tank) -> str:
    return "ines" if tank.weekday % 2 == 0 else "tomasz"


@dataclass
class Month:
    """What happened, beside what was said: the tally of the hand."""

    chat: Chat
    tanks: list[Tank]
    chance: random.Random = field(default_factory=lambda: random.Random(11))
    said: list[tuple[datetime, str, str]] = field(default_factory=list)
    forecast: dict[date, float] = field(default_factory=dict)
    drawn: Counter[date] = field(default_factory=Counter)
    salt_kg: float = OPENING_KG
    mixed_kg: float = 0.0
    salt_low: dict[date, float] = field(default_factory=dict)
    kits: Counter[str] = field(default_factory=lambda: Counter(ines=80, tomasz=80, shop=200))
    uses: int = 0
    orders: list[tuple[date, int]] = field(default_factory=list)
    untested: bool = False

    def run(self) -> None:
        """All days, one after the other."""
        self._at(FIRST_DAY - timedelta(days=1), 16)
        self._say("petra", f"shop count salt {OPENING_KG:g} kg, no3 kits 4")
        for who in ("ines", "tomasz"):
            self._say(who, "van count no3 kit 80 tests")
        self._mix(500, FIRST_DAY - timedelta(days=1))
        for day in (FIRST_DAY + timedelta(days=n) for n in range(DAYS)):
            self._day(day)

    def _day(self, day: date) -> None:
        self._at(day, 8)
        self._delivered(day)
        if self.untested:
            assert "CHECKED" in self._say("ines", "vat a sal 35, 25.2 c, ph 8.2, clear")
            self.untested = False
        for number, tank in enumerate(t for t in self.tanks if t.is_due(day)):
            self._at(day, 9 + number)
            self._visit(tank, day)
        self._at(day, 17, 1)
        self._evening(day)

    def _visit(self, tank: Tank, day: date) -> None:
        who = _who(tank)
        self._say(who, f"here {tank.name.lower()}")
        self._say(who, "temp 25.1 c, ph 8.1, sal 35" if tank.is_salt else "temp 25.1 c, ph 7.2")
        self._say(who, f"no3 {self.chance.randrange(4, 7)}")
        self.kits[who] -= 1
        self.uses += 1
        litres = tank.change_L + self.chance.choice((-1, 0, 0, 1))
        self._say(who, f"{litres} L wc")
        if tank.is_salt:
            self.drawn[day] += litres
        self._say(who, "leaving")

    def _evening(self, day: date) -> None:
        """The lines of the evening are taken at their word."""
        self.salt_low[day] = self.salt_kg
        for text in self._heard(day, "ines"):
            need = re.search(r"^Tomorrow needs ([\d.]+) L salt", text, re.M)
            if need:
                self.forecast[day + timedelta(days=1)] = float(need[1])
            for mix in re.findall(r"Mix ([\d.]+) L", text):
                self._mix(float(mix), day)
        for text in self._heard(day, "petra"):
            if "salt" in text and "Runs out" in text:
                listed = self._say("petra", "order list")
                packs = re.search(r"salt (\d+) x", listed)
                if packs:
                    self._say("petra", f"ordered {packs[1]} bags of salt")
                    self.orders.append((day + timedelta(days=DELIVERY_DAYS), int(packs[1])))

    def _mix(self, litres: float, day: date) -> None:
        """In the evening, on top of what is left: all of it rests until the morning."""
        self._at(day, 18)
        told = self._say("ines", f"mixed {litres:g} L in vat a with ro to 35 ppt, rest 13h")
        assert "salt" in told and "resting" in told, told
        self.salt_kg -= litres * YIELD_G_L / 1000
        self.mixed_kg += litres * YIELD_G_L / 1000
        self.untested = True

    def _delivered(self, day: date) -> None:
        for due, packs in [o for o in self.orders if o[0] == day]:
            self._say("petra", f"{packs} bags of salt arrived")
            self.salt_kg += packs * BAG_KG
            self.orders.remove((due, packs))

    def _say(self, who: str, text: str) -> str:
        self._at_moment(self.chat.now + timedelta(minutes=3))
        return self.chat.say(who, text)

    def _at(self, day: date, hour: int, minute: int = 0) -> None:
        self._at_moment(datetime.combine(day, time(hour, minute), ZONE))

    def _at_moment(self, moment: datetime) -> None:
        """Time passes, and all that falls due on the way is heard."""
        while (due := next_moment(self.chat.db)) is not None and due <= moment:
            self.chat.now = due
            handle(self.chat.db, Tick(due))
            self.said += [(due, row["chat"], row["text"]) for row in self.chat.drained()]
        self.chat.now = max(moment, self.chat.now)

    def _heard(self, day: date, who: str) -> list[str]:
        """What that person was told of that day's own accord."""
        return [text for at, to, text in self.said if to == who and at.astimezone(ZONE).date() == day]
