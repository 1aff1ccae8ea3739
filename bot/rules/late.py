"""Messages that came through together after silence: when they were written is not known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.facts.load import table


def burst(arrivals: Sequence[datetime]) -> int:
    """How many of the newest messages came through together after silence; 0 where that is no burst.

    Somebody who was never heard of before was not silent: the first messages of all are no burst.

    arrivals  when the person's messages came, newest first, the present one included
    """
    facts = table("pings")["burst"]
    within, silence = timedelta(seconds=facts["within"]["value"]), timedelta(minutes=facts["silence"]["value"])
    together = 0
    while together < len(arrivals) and arrivals[0] - arrivals[together] <= within:
        together += 1
    quiet_before = together < len(arrivals) and arrivals[together - 1] - arrivals[together] >= silence
    return together if together >= facts["messages"] and quiet_before else 0


def is_late(said_at: datetime, now: datetime) -> bool:
    """Whether it was written so long before it came that it is marked late."""
    return now - said_at >= timedelta(minutes=table("pings")["late"]["value"])
