"""Bleach and any other cleaner at one site (CDC, Cleaning and disinfecting with bleach: never mixed with any other)."""

import pytest

from bot.rules import cleaners

BLEACH_OPEN, ACID_OPEN = frozenset({"bleach_soak"}), frozenset({"rinse_soak", "acid"})


@pytest.mark.parametrize(
    ("text", "kind", "open_here", "found"),
    [
        ("pump in vinegar 30 min", "acid", BLEACH_OPEN, "acid"),
        ("wiped the glass with vinegar", None, BLEACH_OPEN, "acid"),
        ("ph down 5 ml", None, BLEACH_OPEN, "acid"),
        ("window cleaner on the panes", None, BLEACH_OPEN, "ammonia_cleaner"),
        ("alcohol on the seal", None, BLEACH_OPEN, "other_cleaner"),
        ("nets in bleach", "bleach_soak", ACID_OPEN, "bleach"),
        ("net in bleach with a splash of vinegar", "bleach_soak", frozenset(), "both"),
        ("nets in bleach", "bleach_soak", frozenset(), None),
        ("nets in bleach", "bleach_soak", BLEACH_OPEN, None),
        ("pump in vinegar 30 min", "acid", frozenset(), None),
        ("20% wc, skimmer cup", None, BLEACH_OPEN, None),
    ],
)
def test_what_must_never_stand_side_by_side_is_seen_both_ways(text, kind, open_here, found):
    assert cleaners.clash(text, kind, open_here) == found
