"""Lengths of time: "90 min", "1h30", "half an hour", "an hour and a half", "overnight"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.understanding.clock import clock_at
from bot.understanding.lexicon import lexicon
from bot.understanding.tokens import Token
from bot.understanding.units import Measure, units_at

MINUTES = {"s": 1 / 60, "min": 1.0, "h": 60.0, "day": 1440.0, "week": 10080.0, "month": 43200.0, "year": 525600.0}
_MORNING_HOUR = 7
_NIGHT_MIN, _NIGHT_MAX = 600.0, 840.0


@dataclass(frozen=True, slots=True)
class Duration:
    """The tokens `start` up to `stop` say a length of time in minutes; `unit` is that of its first part; `low` and
    `high` of a range; `overnight`: until the morning."""

    start: int
    stop: int
    minutes: float
    unit: str = "min"
    low: float | None = None
    high: float | None = None
    overnight: bool = False

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


def durations_in(tokens: Sequence[Token], measures: Sequence[Measure], now: datetime) -> tuple[Duration, ...]:
    """Every length of time, in order."""
    timed = [_of_measure(measure) for measure in measures]
    found = _with_rest(tokens, measures, [each for each in timed if each])
    found += [each for place in range(len(tokens)) if (each := _in_words(tokens, place, now))]
    return _longest(found)


def _of_measure(measure: Measure) -> Duration | None:
    unit = measure.unit("time")
    if unit is None:
        return None
    one, number = MINUTES[unit.name], measure.number
    low = None if number.low is None else number.low * one
    high = None if number.high is None else number.high * one
    return Duration(measure.start, measure.stop, _tidy(number.value * one), unit.name, low, high)


def _with_rest(tokens: Sequence[Token], measures: Sequence[Measure], found: list[Duration]) -> list[Duration]:
    """ "1h30", "1 hr 15 min", "2 hours and 10 min", "an hour and a half" put together."""
    done: list[Duration] = []
    for each in found:
        joined = _joined(tokens, done[-1], each) if done else None
        done[-1:] = [joined] if joined else [*done[-1:], each]
    return [_and_bare_minutes(tokens, measures, each) for each in done]


def _joined(tokens: Sequence[Token], first: Duration, second: Duration) -> Duration | None:
    between = [token.text for token in tokens[first.stop : second.start]]
    smaller = MINUTES[second.unit] < MINUTES[first.unit] and second.minutes < MINUTES[first.unit]
    if not smaller or between not in ([], ["and"], ["&"], ["n"]):
        return None
    return Duration(first.start, second.stop, _tidy(first.minutes + second.minutes), first.unit)


def _and_bare_minutes(tokens: Sequence[Token], measures: Sequence[Measure], hours: Duration) -> Duration:
    """The "30" of "1h30" and the half of "1 hour and a half"."""
    half = lexicon("words_times", "word").at(tokens, hours.stop)
    if any(hit.meaning == "and_a_half" for hit in half):
        return Duration(hours.start, half[0].stop, _tidy(hours.minutes + MINUTES[hours.unit] / 2), hours.unit)
    rest = next((m for m in measures if m.start == hours.stop and not m.units), None)
    glued = hours.stop < len(tokens) and tokens[hours.stop].glued and tokens[hours.stop - 1].glued
    ends = rest is not None and (rest.stop == len(tokens) or tokens[rest.stop].text in (",", ".", ";", "\n", "!"))
    if hours.unit == "h" and rest and (glued or ends) and rest.number.value < 60 and rest.number.value.is_integer():
        return Duration(hours.start, rest.stop, _tidy(hours.minutes + rest.number.value), "h")
    return hours


def _in_words(tokens: Sequence[Token], place: int, now: datetime) -> Duration | None:
    """ "an hour", "half an hour", "a day", "overnight"."""
    words = {hit.meaning: hit for hit in lexicon("words_times", "word").at(tokens, place)}
    if "overnight" in words and not _has_hour(tokens, words["overnight"].stop):
        return Duration(place, words["overnight"].stop, until_morning(now), "h", overnight=True)
    if "a" not in words:
        return _bare_hour(tokens, place)
    one, share = _one(tokens, words["a"].start, words["a"].stop), tokens[max(place - 3, 0) : place]
    if one and [token.text for token in share] == ["three", "quarters", "of"]:
        return Duration(place - 3, one.stop, _tidy(one.minutes * 0.75), one.unit)
    return one


def _has_hour(tokens: Sequence[Token], place: int) -> bool:
    """ "until tomorrow 8am" says when itself."""
    led = place < len(tokens) and tokens[place].text in ("at", "@", "around", "noon")
    return tokens[place - 1].text == "tomorrow" and clock_at(tokens, place + led, led or None) is not None


def _one(tokens: Sequence[Token], start: int, place: int) -> Duration | None:
    units, stop = units_at(tokens, place) if place < len(tokens) else ((), place)
    unit = next((u for u in units if u.measures == "time" and len(tokens[place].text) > 1), None)
    if unit is None:
        return None
    half = [hit for hit in lexicon("words_times", "word").at(tokens, stop) if hit.meaning == "and_a_half"]
    minutes = MINUTES[unit.name] * (1.5 if half else 1)
    return Duration(start, half[0].stop if half else stop, minutes, unit.name)


def _bare_hour(tokens: Sequence[Token], place: int) -> Duration | None:
    """ "hour and a half" without its article."""
    one = _one(tokens, place, place) if tokens[place].is_word else None
    return one if one and one.minutes != MINUTES[one.unit] else None


def until_morning(now: datetime) -> float:
    """Minutes until seven o'clock, at least ten hours and at most fourteen: what "overnight" is taken for."""
    morning = now.replace(hour=_MORNING_HOUR, minute=0, second=0, microsecond=0)
    morning += timedelta(days=1 if morning <= now else 0)
    return min(max((morning - now).total_seconds() / 60, _NIGHT_MIN), _NIGHT_MAX)


def _longest(found: list[Duration]) -> tuple[Duration, ...]:
    """Without those that lie inside another."""
    kept = [each for each in found if not any(each.span < other.span for other in found)]
    return tuple(sorted(kept, key=lambda each: each.start))


def _tidy(value: float) -> float:
    return float(f"{value:.10g}")
