"""What the days ahead need of water, in a line: what is ready, what to mix by when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from bot.rules.forecast import Day
from bot.wording.batches import water
from bot.wording.entries import clock, day
from bot.wording.quantities import number

_KIND = {"salt": "salt", "fresh": "fresh"}


def line(found: Day, now: datetime, us: bool) -> str:
    """ "Thu needs 340 L salt, 210 L ready. Mix 150 L by 18:00 (rests 13 h)"."""
    today = now.date()
    head = f"{_day(found.day, today)} needs {water(found.need_L, us)} {_KIND[found.kind]}, {_ready(found, us)}"
    if not found.is_short:
        return f"{head}{_assumed(found)}"
    mix = f"Mix {water(found.mix_L, us)}"
    if found.by is None:
        return f"{head}. {mix}: too late to rest {_rest(found)}; move a visit, or smaller changes{_assumed(found)}"
    by = clock(found.by.astimezone(now.tzinfo), today)
    return f"{head}. {mix} by {by} (rests {number(found.rests_h)} h){_assumed(found)}"


def _ready(found: Day, us: bool) -> str:
    return "ready" if found.ready_L >= found.need_L else f"{water(found.ready_L, us)} ready"


def _rest(found: Day) -> str:
    return f"for {found.day:%a}"


def _assumed(found: Day) -> str:
    if not found.assumed:
        return ""
    return f" ({found.assumed} tank{'s' * (found.assumed != 1)} assumed: no change on record)"


def nothing(when: date | None, today: date) -> str:
    """No water is planned."""
    return f"No water from the vats planned {'for ' + _day(when, today) if when else 'for the next days'}."


def week(found: Sequence[Day], today: date, us: bool) -> str:
    """ "Next week salt: Mon 40 gal, Tue 95 gal"."""
    kinds = dict.fromkeys(d.kind for d in found)
    parts = []
    for kind in kinds:
        shown = ", ".join(f"{d.day:%a} {water(d.need_L, us)}" for d in found if d.kind == kind)
        whole = water(sum(d.need_L for d in found if d.kind == kind), us)
        parts.append(f"Next week {_KIND[kind]} {whole}: {shown}")
    return "\n".join(parts)


def broken(found: Day, now: datetime, us: bool) -> str:
    """A change of plan that leaves a day short."""
    return f"Watch: {line(found, now, us)}"


def _day(when: date, today: date) -> str:
    gap = (when - today).days
    return f"{when:%a}" if 1 < gap < 7 else day(when, today).capitalize()
