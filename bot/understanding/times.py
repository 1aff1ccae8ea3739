"""Instants against `now`: "yesterday 4p", "12/31", "11/05 16:05", "an hr ago", "in 2 days", "tues", "the twentieth".

A weekday, a date without a year or an hour without a day lies behind for what was done and measured, ahead for what is
still to do: the caller says which. Times of day are those of `now`'s zone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cache

from bot.understanding.clock import Clock, clock_at
from bot.understanding.durations import Duration
from bot.understanding.lexicon import lexicon
from bot.understanding.tokens import Token
from bot.understanding.units import units_at

_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Instant:
    """The tokens `start` up to `stop` say when. `exact`: with a time of day (else `at` is the middle of the day);
    `is_now`: the present; `doubt`: an hour that is not yet (or no longer) today, so that the day must be asked;
    `bare`: a number that only the "at" before it makes a time."""

    start: int
    stop: int
    at: datetime
    exact: bool = True
    is_now: bool = False
    doubt: bool = False
    bare: bool = False

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))

    @property
    def day(self) -> date:
        return self.at.date()


@dataclass(frozen=True)
class Calendar:
    """What a time is read against; `ahead`: it lies in the future; `day_first`: 11/05 is the eleventh of May."""

    now: datetime
    day_first: bool = False
    ahead: bool = False


def instants_in(tokens: Sequence[Token], durations: Sequence[Duration], calendar: Calendar) -> tuple[Instant, ...]:
    """Every instant in order; those that lie inside a longer one are left out."""
    found = _relative(tokens, durations, calendar)
    for place in (place for place, token in enumerate(tokens) if token.is_number or token.text in _openers()):
        found += [each for read in (_now, _dated, _clocked) if (each := read(tokens, place, calendar))]
    found += _later_that_day(tokens, found, calendar)
    kept = [each for each in found if not any(each.span < other.span for other in found)]
    once = {(each.start, each.stop): each for each in kept}
    return tuple(sorted(once.values(), key=lambda each: each.start))


def _later_that_day(tokens: Sequence[Token], found: Sequence[Instant], calendar: Calendar) -> list[Instant]:
    """ "yesterday am ph 7.95, pm 8.2": a part of the day named before, at the head of a clause."""
    later = []
    for place in range(1, len(tokens)):
        hits = lexicon("words_times", "part").at(tokens, place) if tokens[place - 1].text in _JOINTS else []
        before = [each for each in found if each.stop < place and not each.is_now]
        if hits and before:
            at = _on(calendar, max(before, key=lambda each: each.start).day, time(int(hits[0].meaning)))
            later.append(Instant(place, hits[0].stop, at))
    return later


_JOINTS = frozenset((",", "and", ";", "&", "then", "\n", "-"))


@cache
def _openers() -> frozenset[str]:
    """Words that an instant can begin with."""
    groups = ("word", "day", "day_part", "span", "weekday", "month", "ordinal", "part", "cardinal", "share")
    return frozenset(word for group in groups for word in lexicon("words_times", group).openers()) | {"the", "on"}


def _word(tokens: Sequence[Token], place: int, meaning: str) -> int:
    """Where the small word of time ends that begins at `place`, 0 where it does not stand there."""
    hits = lexicon("words_times", "word").at(tokens, place)
    return next((hit.stop for hit in hits if hit.meaning == meaning), 0)


def _now(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    stop = _word(tokens, place, "now")
    return Instant(place, stop, calendar.now, is_now=True) if stop else None


def _relative(tokens: Sequence[Token], durations: Sequence[Duration], calendar: Calendar) -> list[Instant]:
    """ "an hr ago", "in 2 days", "20 min from now"."""
    found = []
    for each in durations:
        way = timedelta(minutes=each.minutes)
        exact = each.unit in ("s", "min", "h")
        ago, hence = _word(tokens, each.stop, "ago"), _word(tokens, each.stop, "hence")
        opened = each.start > 0 and _word(tokens, each.start - 1, "in") == each.start
        if ago and _in_range(each):
            found.append(Instant(each.start, ago, _moved(calendar, -way, exact), exact))
        elif hence and _in_range(each):
            found.append(Instant(each.start - opened, hence, _moved(calendar, way, exact), exact))
        elif opened and calendar.ahead and _in_range(each):
            found.append(Instant(each.start - 1, each.stop, _moved(calendar, way, exact), exact))
    return found


def _in_range(duration: Duration) -> bool:
    return 0 <= duration.minutes < 60 * 24 * 3660


def _moved(calendar: Calendar, way: timedelta, exact: bool) -> datetime:
    """`now` moved by elapsed time; by whole days to the middle of the day."""
    if exact:
        utc_offset = calendar.now.utcoffset() or timedelta()
        moved = (calendar.now - utc_offset).replace(tzinfo=None) + way
        return _local(calendar, moved)
    return _on(calendar, calendar.now.date() + way, _NOON)


def _local(calendar: Calendar, utc: datetime) -> datetime:
    """A naive UTC time in the zone of `now`, with the offset of that day."""
    zone = calendar.now.tzinfo
    return utc.replace(tzinfo=zone) if zone is None else zone.fromutc(utc.replace(tzinfo=zone))


def _on(calendar: Calendar, day: date, clock: time) -> datetime:
    return datetime.combine(day, clock, tzinfo=calendar.now.tzinfo)


def _dated(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    """A day, with a time of day before or behind it where one stands there."""
    found = _day_part(tokens, place, calendar) or _day(tokens, place, calendar)
    if found is None:
        return None
    place = _past_mark(tokens, found.stop)
    opened = found.exact or (place > found.stop and tokens[found.stop].text in ("at", "@"))
    clock = clock_at(tokens, place, opened or None)
    if clock and not (clock.stop == place + 1 and units_at(tokens, clock.stop)[0]):
        at = _on(calendar, found.at.date(), clock.time(found.at.hour if found.exact else None))
        return replace(found, stop=clock.stop, at=at, exact=True)
    return _with_clock_before(tokens, _with_part(tokens, found, calendar), calendar)


def _past_mark(tokens: Sequence[Token], place: int) -> int:
    return (
        place + 1 if place < len(tokens) and tokens[place].text in (",", "@", "at", "-", "around", "about") else place
    )


def _with_part(tokens: Sequence[Token], found: Instant, calendar: Calendar) -> Instant:
    hits = [] if found.exact else lexicon("words_times", "part").at(tokens, found.stop)
    if not hits:
        return found
    return replace(found, stop=hits[0].stop, at=_on(calendar, found.day, time(int(hits[0].meaning))), exact=True)


def _with_clock_before(tokens: Sequence[Token], found: Instant, calendar: Calendar) -> Instant:
    """ "4pm yesterday", "16:05 on 11/05"."""
    for start in range(max(0, found.start - 5), found.start):
        clock = clock_at(tokens, start, None)
        joined = (
            clock
            and clock.stop <= found.start
            and all(token.text in ("on", ",", "the") for token in tokens[clock.stop : found.start])
        )
        if clock and joined:
            return replace(found, start=start, at=_on(calendar, found.day, clock.time(None)), exact=True)
    return found


def _day_part(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    hits = lexicon("words_times", "day_part").at(tokens, place)
    if not hits:
        return None
    days, hour = map(int, hits[0].meaning.split())
    at = _on(calendar, calendar.now.date() + timedelta(days=days), time(hour))
    if days == 0 and not calendar.ahead:
        at = min(at, calendar.now)
    return Instant(place, hits[0].stop, at)


def _day(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    for read in (_named_day, _weekday, _iso_date, _slashed_date, _month_date, _ordinal_day):
        day = read(tokens, place, calendar)
        if day:
            start = place - 1 if place and tokens[place - 1].text in ("on", "by") else place
            return Instant(start, day[1], _on(calendar, day[0], _NOON), exact=False)
    return None


_Day = tuple[date, int] | None


def _named_day(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    for group in ("day", "span"):
        hits = lexicon("words_times", group).at(tokens, place)
        if hits:
            return calendar.now.date() + timedelta(days=int(hits[0].meaning)), hits[0].stop
    return None


def _weekday(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """ "tues", "last tues", "next tue", "this fri"."""
    turn = next((m for m in ("last", "next", "this") if _word(tokens, place, m)), None)
    at = _word(tokens, place, turn) if turn else place
    hits = lexicon("words_times", "weekday").at(tokens, at)
    if not hits:
        return None
    today = calendar.now.date()
    ahead = turn == "next" or (turn != "last" and calendar.ahead)
    days = (int(hits[0].meaning) - today.weekday()) % 7 or (7 if ahead or turn == "last" else 0)
    return today + timedelta(days=days if ahead or days == 0 else days - 7 if turn != "last" or days < 7 else -7), hits[
        0
    ].stop


def _iso_date(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    parts = _digits_joined(tokens, place, "-", 3)
    if not parts or len(tokens[place].text) != 4:
        return None
    return _date(parts[0], parts[1], parts[2], place + 5)


def _slashed_date(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """ "12/31", "12/31/25", "31.12." is no number: its dots end it."""
    dotted = _dotted_date(tokens, place)
    parts = dotted or _digits_joined(tokens, place, "/", 3) or _digits_joined(tokens, place, "/", 2)
    if not parts:
        return None
    day_first = calendar.day_first or bool(dotted)
    stop = place + (2 if dotted else 2 * len(parts) - 1)
    first, second = (parts[1], parts[0]) if day_first else (parts[0], parts[1])
    month, day = (second, first) if first > 12 >= second else (first, second)
    if len(parts) == 3:
        return _date(parts[2] + 2000 if parts[2] < 100 else parts[2], month, day, stop)
    return _nearest_year(calendar, month, day, stop)


def _dotted_date(tokens: Sequence[Token], place: int) -> list[int] | None:
    """ "31.12." with its closing dot."""
    text = tokens[place].text
    day, _, month = text.partition(".")
    closed = place + 1 < len(tokens) and tokens[place + 1].text == "." and tokens[place + 1].glued
    short = day.isdigit() and month.isdigit() and len(day) <= 2 == len(month)
    return [int(day), int(month)] if short and closed and tokens[place].is_number else None


def _digits_joined(tokens: Sequence[Token], place: int, mark: str, count: int) -> list[int] | None:
    """`count` short whole numbers glued together by `mark`, and by no more of them."""
    parts = tokens[place : place + 2 * count - 1]
    if len(parts) < 2 * count - 1 or any(not part.glued for part in parts[1:]):
        return None
    after, before = tokens[place + 2 * count - 1 :][:1], tokens[max(0, place - 1) : place]
    if any(t.text == mark and t.glued for t in after) or any(t.text == mark and tokens[place].glued for t in before):
        return None
    numbers, marks = parts[::2], parts[1::2]
    good = all(n.is_number and n.text.isdigit() and n.text.isascii() and len(n.text) <= 4 for n in numbers)
    return [int(n.text) for n in numbers] if good and all(m.text == mark for m in marks) else None


def _month_date(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """ "march 5", "5 march", "5th of march"."""
    month = lexicon("words_times", "month").at(tokens, place)
    if month:
        day = _day_number(tokens, month[0].stop)
        return _nearest_year(calendar, int(month[0].meaning), day[0], day[1]) if day else None
    day = _day_number(tokens, place)
    after = day[1] + 1 if day and day[1] < len(tokens) and tokens[day[1]].text == "of" else day and day[1]
    month = lexicon("words_times", "month").at(tokens, after) if day and after else []
    return _nearest_year(calendar, int(month[0].meaning), day[0], month[0].stop) if day and month else None


def _day_number(tokens: Sequence[Token], place: int) -> tuple[int, int] | None:
    if place >= len(tokens):
        return None
    hits = lexicon("words_times", "ordinal").at(tokens, place)
    if hits:
        return int(hits[0].meaning), hits[0].stop
    text = tokens[place].text
    good = tokens[place].is_number and text.isdigit() and text.isascii() and len(text) <= 2
    return (int(text), place + 1) if good else None


def _ordinal_day(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """ "the twentieth", "the 20th", "on the 3rd": of this month or the one beside it."""
    hits = lexicon("words_times", "ordinal").at(tokens, place + 1) if tokens[place].text == "the" else []
    if not hits:
        return None
    today, day = calendar.now.date(), int(hits[0].meaning)
    months = [
        _date(today.year + (today.month + k - 1) // 12, (today.month + k - 1) % 12 + 1, day, 0) for k in (-1, 0, 1)
    ]
    fits = [m[0] for m in months if m and (m[0] >= today if calendar.ahead else m[0] <= today)]
    return (min(fits) if calendar.ahead else max(fits), hits[0].stop) if fits else None


def _nearest_year(calendar: Calendar, month: int, day: int, stop: int) -> _Day:
    """That day in the year that puts it on the right side of today."""
    today = calendar.now.date()
    days = [_date(year, month, day, stop) for year in range(today.year - 4, today.year + 5)]
    behind = [d for d in days if d and d[0] <= today]
    ahead = [d for d in days if d and d[0] >= today]
    return (ahead[0] if ahead else None) if calendar.ahead else (behind[-1] if behind else None)


def _date(year: int, month: int, day: int, stop: int) -> _Day:
    try:
        return date(year, month, day), stop
    except ValueError:
        return None


def _clocked(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    """A time of day without a day: of today, on the side of now that was meant."""
    start = place + 1 if _word(tokens, place, "clock") == place + 1 else place
    clock = clock_at(tokens, start, True if start > place else None)
    if clock is None or (start > place and tokens[place].text == "by" and not calendar.ahead):
        return None
    return _on_its_side(calendar, clock, place)


def _on_its_side(calendar: Calendar, clock: Clock, start: int) -> Instant:
    options = [_on(calendar, calendar.now.date() + timedelta(days=d), t) for d in (-1, 0, 1) for t in clock.times()]
    today = [at for at in options if at.date() == calendar.now.date()]
    if calendar.ahead:
        later = [at for at in options if at >= calendar.now]
        doubt = min(later) not in today and not clock.sure
        return Instant(start, clock.stop, min(later), doubt=doubt, bare=clock.bare)
    earlier = [at for at in options if at <= calendar.now]
    return Instant(start, clock.stop, max(earlier), doubt=max(earlier) not in today, bare=clock.bare)
