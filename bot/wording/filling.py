"""How a filling is quoted back."""

from __future__ import annotations

from datetime import date, datetime

from bot.rules.filling import Filling
from bot.wording.entries import clock
from bot.wording.quantities import quantity


def started(plan: Filling, full: datetime, ping: datetime, today: date) -> str:
    """ "filling 40 gal at 75 gal/day, full tomorrow 06:30; ping tomorrow 06:20"."""
    sizes = f"{quantity(plan.volume.value, plan.volume.unit, 0)} at {quantity(plan.flow.value, plan.flow.unit, 1)}"
    return f"filling {sizes}, full {clock(full, today)}; ping {clock(ping, today)}"
