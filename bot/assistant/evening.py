"""When the days ahead are looked at: water and supplies, once an evening."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from bot.assistant.turn import Turn
from bot.facts.load import table


def next_one(turn: Turn) -> datetime:
    """This evening, or the next where that has passed."""
    at = time.fromisoformat(table("batches")["evening"]["at"])
    local = turn.local(turn.now)
    today = datetime.combine(local.date(), at, turn.zone)
    return today if local < today else datetime.combine(local.date() + timedelta(days=1), at, turn.zone)


def is_list_day(turn: Turn) -> bool:
    """Whether the lists for the whole week are due this evening."""
    return bool(turn.local(turn.now).strftime("%a").casefold() == table("batches")["evening"]["list_day"])
