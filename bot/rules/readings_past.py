"""What a reading says beside the tank's own past: unlike it, too fast, drifting, running one way, flat."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from bot.facts.load import table
from bot.rules.judged import Case, Verdict
from bot.rules.ranges import error_of, pace_for, range_for
from bot.rules.scales import middle
from bot.rules.trend import days_until, trend
from bot.rules.usual import Usual, is_unlike, meant, usual, values_of


def unlike(case: Case) -> Verdict | None:
    """Possible, but not this tank."""
    changes = [done for done in case.record.done if done.event.event == "water_change"]
    if not is_unlike(case.value, case.tank, case.parameter, case.past, changes) and not _disagrees(case):
        return None
    expected = usual(case.parameter, values_of(case.past))
    if expected is None:
        before = values_of(case.past)[:1]
        likely = [Usual(v, error_of(case.parameter, v)) for v in before]
        fits = next((m for each in likely if (m := meant(case.reading, each))), None)
        return case.verdict("unlike", value=case.value, low=None, high=None, meant=fits)
    last = values_of(case.past)[:10]
    fits = meant(case.reading, expected)
    return case.verdict("unlike", value=case.value, low=min(last), high=max(last), meant=fits)


def _disagrees(case: Case) -> bool:
    """Far from a test just before it, with nothing done between them, where too little else is known of the tank."""
    rule, past = table("judging")["unlike"], case.past
    before = middle(past[0].reading) if past else None
    if before is None or len(past) >= rule["least"]["value"] or case.parameter in table("judging")["spike"]:
        return False
    if case.at - past[0].at > timedelta(minutes=table("judging")["retest"]["within"]["value"]):
        return False
    moved = abs(case.value - before) > rule["times"]["value"] * error_of(case.parameter, before)
    return moved and not any(done.at > past[0].at for done in case.record.done)


def fast(case: Case) -> Verdict | None:
    """Moved faster than the tank may."""
    was = next(iter(case.past), None)
    before = middle(was.reading) if was else None
    if was is None or before is None or case.reading.above or was.reading.above:
        return None
    pace = pace_for(case.tank, case.parameter, case.value > before)
    days = (case.at - was.at).total_seconds() / 86400
    if pace is None:
        return None
    most = pace.ceiling * max(days, 1.0)
    most = min(most, pace.planned * max(days * 24, 1.0)) if pace.per == "h" else most
    if abs(case.value - before) <= most + error_of(case.parameter, before):
        return None
    return case.verdict("fast", was=before, value=case.value, days=days, most=pace.ceiling, own=pace.own)


def leaving(case: Case) -> Verdict | None:
    """A steady drift that will leave the range within the horizon."""
    rule, limits = table("judging")["drift"], range_for(case.tank, case.parameter)
    since = case.at - timedelta(days=rule["back"]["value"])
    seen = [s for s in case.earlier_visits if s.at >= since][: int(rule["visits"]["value"])][::-1]
    values = values_of(seen)
    if limits is None or len(values) < rule["least"]["value"] or len(values) < len(seen):
        return None
    days = [(s.at - case.at).total_seconds() / 86400 for s in seen]
    line = trend(days, values, rule["sure"]["value"])
    ahead = days_until(line, limits.low, limits.high) if line else None
    if line is None or ahead is None or ahead[0] > rule["horizon"]["value"]:
        return None
    side = "high" if line.slope > 0 else "low"
    moved = abs(line.slope) * (days[-1] - days[0])
    if moved < error_of(case.parameter, line.level) or not _leads_out(case, line.level, side):
        return None
    limit = limits.high if side == "high" else limits.low
    timing = dict(zip(("likely", "soonest", "latest"), ahead, strict=True))
    return case.verdict("leaving", side=side, limit=limit, **timing)


def run(case: Case) -> Verdict | None:
    """The same way at three visits in a row, by clearly more than the instrument errs, further than of late."""
    rule = table("judging")["run"]
    values = values_of(case.earlier_visits[: int(rule["of"]["value"])])
    last = values[: int(rule["visits"]["value"])][::-1]
    steps = [b - a for a, b in pairwise(last)]
    if len(last) < rule["visits"]["value"] or not (all(s > 0 for s in steps) or all(s < 0 for s in steps)):
        return None
    side = "high" if steps[0] > 0 else "low"
    least = rule["errors"]["value"] * error_of(case.parameter, last[0])
    farthest = max(values) if side == "high" else min(values)
    if abs(last[-1] - last[0]) < least or last[-1] != farthest or not _leads_out(case, last[-1], side):
        return None
    return case.verdict("run", values=last, side=side)


def _leads_out(case: Case, value: float, side: str) -> bool:
    """Whether a value on its way up (down) has passed the middle of its range."""
    limits = range_for(case.tank, case.parameter)
    limit = (limits.high if side == "high" else limits.low) if limits else None
    if limits is None or limit is None:
        return False
    centre = ((limits.low or 0.0) + (limits.high if limits.high is not None else limits.low or 0.0)) / 2
    return value >= centre if side == "high" else value <= centre


def flat(case: Case) -> Verdict | None:
    """Nought at every visit, where a living tank shows something: the kit may be spent."""
    rule = table("judging")["flat"]
    count = int(rule["visits"]["value"])
    last = case.earlier_visits[:count]
    nought = all(seen.reading.value == 0 or seen.reading.below for seen in last)
    if case.parameter not in rule["parameters"] or len(last) < count or not nought:
        return None
    return case.verdict("flat", visits=count)
