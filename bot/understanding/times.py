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
from bot.understanding.dates import Calendar, day_at, word_stop
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


def instants_in(tokens: Sequence[Token], durations: Sequence[Duration], calendar: Calendar) -> tuple[Instant, ...]:
    """Every instant in order; those that lie inside a longer one are left out."""
    found = _relative(tokens, durations, calendar)
    for place in (place for place, token in enumerate(tokens) if token.is_number or token.text in _openers()):
        found += [each for read in (_now, _dated, _clocked) if (each := read(tokens, place, calendar))]
    found += _later_that_day(tokens, found, calendar)
    kept = [each for each in found if not any(each.span < other.span for other in found)]
    once = {(each.start, each.stop): each for each in kept}
    ordered = sorted(once.values(), key=lambda each: each.start)
    return tuple(ordered if calendar.ahead else _under_heading(tokens, ordered, calendar))


def _under_heading(tokens: Sequence[Token], found: Sequence[Instant], calendar: Calendar) -> list[Instant]:
    """ "oak yesterday: 10:05 ph 8.2, 10:10 kh 8": the day at the head of a list is that of each time of day in it."""
    head = next((each for each in found if not each.is_now), None)
    named = head is not None and head.day < calendar.now.date() and not _is_clock(tokens, head, calendar)
    if head is None or not named or not _heads(tokens, head, found):
        return list(found)
    return [
        replace(each, at=_on(calendar, head.day, each.at.time()), doubt=False)
        if _is_clock(tokens, each, calendar)
        else each
        for each in found
    ]


def _heads(tokens: Sequence[Token], head: Instant, found: Sequence[Instant]) -> bool:
    """Whether a day opens the message and a time of day is the next thing told, behind a colon or at once."""
    if any(token.is_number for token in tokens[: head.start]):
        return False
    clock = next((each for each in found if each.start >= head.stop and each.exact), None)
    between = tokens[head.stop : clock.start] if clock else ()
    marked = not between or any(t.text in (":", "-") or t.kind == "line" for t in between)
    return head.exact or (clock is not None and marked and not any(t.is_number for t in between))


def _is_clock(tokens: Sequence[Token], each: Instant, calendar: Calendar) -> bool:
    """Whether it is a time of day with no day of its own."""
    clock = _clocked(tokens, each.start, calendar)
    return clock is not None and clock.span == each.span


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


def _now(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    stop = word_stop(tokens, place, "now")
    return Instant(place, stop, calendar.now, is_now=True) if stop else None


def _relative(tokens: Sequence[Token], durations: Sequence[Duration], calendar: Calendar) -> list[Instant]:
    """ "an hr ago", "in 2 days", "20 min from now"."""
    found = []
    for each in durations:
        way = timedelta(minutes=each.minutes)
        exact = each.unit in ("s", "min", "h")
        ago, hence = word_stop(tokens, each.stop, "ago"), word_stop(tokens, each.stop, "hence")
        opened = each.start > 0 and word_stop(tokens, each.start - 1, "in") == each.start
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
    day = day_at(tokens, place, calendar)
    start = place - 1 if place and tokens[place - 1].text in ("on", "by") else place
    return Instant(start, day[1], _on(calendar, day[0], _NOON), exact=False) if day else None


def _clocked(tokens: Sequence[Token], place: int, calendar: Calendar) -> Instant | None:
    """A time of day without a day: of today, on the side of now that was meant."""
    start = place + 1 if word_stop(tokens, place, "clock") == place + 1 else place
    clock = clock_at(tokens, start, True if start > place else None)
    if clock is None or (start > place and tokens[place].text == "by" and not calendar.ahead):
        return None
    if clock.bare and clock.stop < len(tokens) and tokens[clock.stop].text in _SHARES:
        return None  # "start 10% wc"
    return _on_its_side(calendar, clock, place)


_SHARES = ("%", "percent", "pct")


def _on_its_side(calendar: Calendar, clock: Clock, start: int) -> Instant:
    options = [_on(calendar, calendar.now.date() + timedelta(days=d), t) for d in (-1, 0, 1) for t in clock.times()]
    today = [at for at in options if at.date() == calendar.now.date()]
    if calendar.ahead:
        later = [at for at in options if at >= calendar.now]
        doubt = min(later) not in today and not clock.sure
        return Instant(start, clock.stop, min(later), doubt=doubt, bare=clock.bare)
    earlier = [at for at in options if at <= calendar.now]
    return Instant(start, clock.stop, max(earlier), doubt=max(earlier) not in today, bare=clock.bare)
