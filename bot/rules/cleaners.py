"""Bleach and any other cleaner at one site: what must never stand side by side."""

from __future__ import annotations

from collections.abc import Collection

from bot.facts.load import table
from bot.rules.words import says

_BLEACHY = {"bleach_soak"}
_OTHERS = ("acid", "ammonia_cleaner", "other_cleaner")


def clash(text: str, kind: str | None, open_here: Collection[str]) -> str | None:
    """What is near what: "acid" where it comes to open bleach, "bleach" where it comes to acid; None for neither.

    text       the message
    kind       the kind of wait that is being started, if one is
    open_here  the kinds of wait and steps that are open at the site
    """
    groups = table("words_warnings")["groups"]
    said = [name for name in _OTHERS if says(text, groups[name])]
    if kind in _BLEACHY and "acid" in open_here:
        return "bleach"
    if _BLEACHY & set(open_here):
        apart = says(text, groups["never_mix"])
        return "acid" if kind == "acid" else next(iter([] if apart else said), None)
    both = kind in _BLEACHY and {"acid", "ammonia_cleaner"} & set(said)
    return "both" if both and not says(text, groups["never_mix"]) else None
