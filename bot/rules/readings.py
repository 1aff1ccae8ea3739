"""Judging a reading: by the tank's range, its own past, the other readings with it, and what was just done there."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from bot.items import Reading
from bot.rules import readings_now, readings_past
from bot.rules.judged import Case, Record, Verdict
from bot.rules.scales import middle
from bot.team import Tank


def judge(reading: Reading, at: datetime, tank: Tank, record: Record, stands: bool = False) -> tuple[Verdict, ...]:
    """All that is to be said about a reading of the tank's own water at `at`, the most pressing first.

    stands  somebody stands by the value: it is not called unlike the tank
    """
    case = Case(reading, at, tank, record)
    if reading.beyond and reading.of == "tank":
        return (case.verdict("off_chart"),)
    if reading.of != "tank" or middle(reading) is None:
        return ()
    strange = None if stands else readings_past.unlike(case)
    checks = _OF_THE_MOMENT if strange else (*_OF_THE_MOMENT, *_OF_ITS_PAST)
    found = [each for check in checks if (each := check(case))] + ([strange] if strange else [])
    worst = {"outside"} if any(v.kind == "alarm" for v in found) else set()
    return tuple(sorted((v for v in found if v.kind not in worst), key=lambda v: v.rank))


_Check = Callable[[Case], Verdict | None]
_OF_THE_MOMENT: tuple[_Check, ...] = (
    readings_now.poison, readings_now.ammonia, readings_now.alarm, readings_now.nitrite, readings_now.unmixed,
    readings_now.outside,
)  # fmt: skip
_OF_ITS_PAST: tuple[_Check, ...] = (readings_past.fast, readings_past.leaving, readings_past.run, readings_past.flat)
