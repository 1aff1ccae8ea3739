"""A crew with a round: two technicians, a learner, the office, the owner, and tanks that are visited by rule."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from bot.store import pulse
from tests.assistant.team import Chat

ZONE = ZoneInfo("America/New_York")


def tank(name: str, client: str, every: float, weekday: str | None, who: str, **more: Any) -> dict[str, Any]:
    kind = {"kind": "marine fish-only", "volume": {"value": 100, "unit": "gal"}}
    return {"name": name, "client": client, "every_days": every, "weekday": weekday, "who": who, **kind, **more}


CREW: dict[str, Any] = {
    "name": "Crew",
    "units": "us",
    "zone": "America/New_York",
    "people": [
        {"name": "ines", "role": "technician"},
        {"name": "tomasz", "role": "technician"},
        {"name": "kofi", "role": "learner"},
        {"name": "petra", "role": "office"},
        {"name": "mara", "role": "owner"},
    ],
    "clients": [{"name": n} for n in ("Quillow Dental", "Brindlemoor Hotel", "Vantree Library", "Tarnwick Tea Room")],
    "tanks": [
        tank("Quillow lobby", "Quillow Dental", 14, "tue", "tomasz", nicknames=["quillow"]),
        tank("Brindlemoor bar", "Brindlemoor Hotel", 7, "tue", "ines", nicknames=["brindlemoor"]),
        tank("Vantree hall", "Vantree Library", 14, "tue", "tomasz", nicknames=["vantree"]),
        tank("Tarnwick counter", "Tarnwick Tea Room", 1, None, "tomasz", nicknames=["tarnwick"]),
    ],
    "vats": [{"name": "Vat A", "volume": {"value": 100, "unit": "gal"}, "holds": "salt"}],
}


def at(text: str) -> datetime:
    """An instant on the crew's clock."""
    return datetime.fromisoformat(text).replace(tzinfo=ZONE)


class Day(Chat):
    """A conversation of the crew, on the clock of Tuesday 10 March 2026."""

    def __init__(self, team: dict[str, Any] | None = None, start: str = "2026-03-10T07:00") -> None:
        super().__init__(team or CREW)
        self.now = at(start)
        pulse.beat(self.db, "cards", self.now)

    def clock(self, text: str) -> dict[str, str]:
        """Time passes until then; what was said meanwhile, by chat."""
        return self.wait(seconds=(at(text) - self.now).total_seconds())
