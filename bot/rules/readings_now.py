"""What a reading says at the moment: by its range, with the other readings, after what was just done."""

from __future__ import annotations

from bot.facts.load import table
from bot.rules.judged import Case, Verdict
from bot.rules.ranges import alarm_for, error_of, is_fresh, own_range, range_for
from bot.rules.scales import middle
from bot.rules.usual import Done
from bot.science.ammonia import unionised_share
from bot.team import Limits


def poison(case: Case) -> Verdict | None:
    """Chlorine at all, or copper where invertebrates live."""
    sensitive = case.parameter == "chlorine" or (case.parameter == "copper" and case.tank.invertebrates)
    return case.verdict("poison", value=case.ends[1]) if sensitive and case.ends[1] > 0 else None


def ammonia(case: Case) -> Verdict | None:
    """Un-ionised ammonia from the total with the pH and temperature that belong to it."""
    total = case.ends[1]
    if case.parameter != "ammonia" or total <= 0:
        return None
    hours = table("judging")["together"]["ph"]["value"]
    with_it = {name: case.record.near(name, case.at, hours) for name in ("ph", "temperature")}
    ph, temp_C = (middle(seen.reading) if seen else None for seen in with_it.values())
    if ph is None or temp_C is None:
        return case.verdict("unknown_share", missing=[name for name, seen in with_it.items() if seen is None])
    free = total * unionised_share(ph, temp_C, _salinity(case))
    limit, harm = table("ammonia")["watch"]["value"], table("ammonia")["harm"]["value"]
    return (
        case.verdict("free_ammonia", free=free, limit=limit, harm=harm, harmful=free >= harm) if free >= limit else None
    )


def _salinity(case: Case) -> float:
    """The tank's last salinity, else what its kind has."""
    seen = next(iter(case.record.of("salinity")), None)
    last = middle(seen.reading) if seen else None
    waters = [w for w in table("waters").values() if isinstance(w, dict) and case.tank.kind in w.get("kinds", ())]
    return last if last is not None else next((float(w["value"]) for w in waters), 0.0)


def alarm(case: Case) -> Verdict | None:
    """Beyond the limits at which something must be done."""
    side = _beyond(case.ends, alarm_for(case.tank, case.parameter))
    if side is None or case.parameter in ("chlorine", "copper"):
        return None
    return case.verdict("alarm", value=case.ends[side[0] == "high"], side=side[0], limit=side[1])


def nitrite(case: Case) -> Verdict | None:
    """Nitrite in fresh water against the chloride that keeps it out of the gills."""
    rule = table("judging")["chloride_for_nitrite"]
    value = case.ends[1]
    if case.parameter != "nitrite" or not is_fresh(case.tank) or value < rule["from"]["value"]:
        return None
    seen = case.record.near("chloride", case.at, table("judging")["together"]["chloride"]["value"])
    chloride, wanted = middle(seen.reading) if seen else None, value * rule["times"]["value"]
    enough = chloride is not None and chloride >= wanted
    return None if enough else case.verdict("chloride", value=value, chloride=chloride, wanted=wanted)


def unmixed(case: Case) -> Verdict | None:
    """Read before a dose or a change has mixed."""
    rule = table("judging")["mixing"]
    for done in sorted(case.record.done, key=lambda d: d.at, reverse=True):
        wait = rule.get(done.event.event, {}).get("value", 0)
        minutes = (case.at - done.at).total_seconds() / 60
        if 1 <= minutes < wait and _concerns(done, case.parameter):
            return case.verdict("unmixed", done=done.event, minutes=minutes, wait=wait)
    return None


def _concerns(done: Done, parameter: str) -> bool:
    """A water change concerns whatever is tested; a dose what its words raise, and anything where it names nothing."""
    if done.event.event == "water_change" or not done.event.subject:
        return True
    words = {*table("doubles")["raises"].get(parameter, ()), parameter}
    return bool(words & set(done.event.subject.casefold().split()))


def outside(case: Case) -> Verdict | None:
    """Outside the wanted range; a kind's range is a default, so half an instrument's error is let pass there."""
    limits = range_for(case.tank, case.parameter)
    own = own_range(case.tank, case.parameter) is not None
    slack = 0.0 if own else error_of(case.parameter, case.value) / 2
    side = _beyond(case.ends, limits, slack)
    if side is None or (case.parameter in ("chlorine", "copper") and not own):
        return None
    return case.verdict("outside", value=case.ends[side[0] == "high"], side=side[0], limit=side[1], own=own)


def _beyond(ends: tuple[float, float], limits: Limits | None, slack: float = 0.0) -> tuple[str, float] | None:
    """On which side the reading lies beyond the limits, and the limit there; None where it may lie within."""
    if limits is not None and limits.high is not None and ends[1] > limits.high + slack:
        return "high", limits.high
    if limits is not None and limits.low is not None and ends[0] < limits.low - slack:
        return "low", limits.low
    return None
