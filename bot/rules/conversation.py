"""How long things hold in a conversation."""

from __future__ import annotations

from datetime import timedelta

from bot.facts.load import table


def in_hand_for() -> timedelta:
    """How long a tank, a sum or an entry stays the one that is spoken of."""
    return timedelta(minutes=table("conversation")["tank_in_hand"]["idle"])


def tested_before() -> timedelta:
    """How long before the bags went in a test is still one of this visit."""
    return timedelta(minutes=table("conversation")["test_of_visit"]["before"])
