"""Days: "yesterday", "tues", "12/31", "2026-03-05", "march 5", "the twentieth"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.understanding.lexicon import lexicon
from bot.understanding.tokens import Token
from bot.understanding.units import unit_named, unit_words


@dataclass(frozen=True)
class Calendar:
    """What a time is read against; `ahead`: it lies in the future; `day_first`: 11/05 is the eleventh of May."""

    now: datetime
    day_first: bool = False
    ahead: bool = False


_Day = tuple[date, int] | None


def day_at(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """The day that is told at token `place`, and where its words end."""
    for read in (_named_day, _weekday, _iso_date, _slashed_date, _month_date, _ordinal_day):
        day = read(tokens, place, calendar)
        if day:
            return day
    return None


def word_stop(tokens: Sequence[Token], place: int, meaning: str) -> int:
    """Where the small word of time ends that begins at `place`, 0 where it does not stand there."""
    hits = lexicon("words_times", "word").at(tokens, place)
    return next((hit.stop for hit in hits if hit.meaning == meaning), 0)


def _named_day(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    for group in ("day", "span"):
        hits = lexicon("words_times", group).at(tokens, place)
        if hits:
            return calendar.now.date() + timedelta(days=int(hits[0].meaning)), hits[0].stop
    return None


def _weekday(tokens: Sequence[Token], place: int, calendar: Calendar) -> _Day:
    """ "tues", "last tues", "next tue", "this fri"."""
    turn = next((m for m in ("last", "next", "this") if word_stop(tokens, place, m)), None)
    at = word_stop(tokens, place, turn) if turn else place
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
    if not dotted and _measures(tokens, place + 2 * len(parts) - 1):
        return None
    stop = place + (2 if dotted else 2 * len(parts) - 1)
    first, second = (parts[1], parts[0]) if day_first else (parts[0], parts[1])
    month, day = (second, first) if first > 12 >= second else (first, second)
    if len(parts) == 3:
        return _date(parts[2] + 2000 if parts[2] < 100 else parts[2], month, day, stop)
    return _nearest_year(calendar, month, day, stop)


def _measures(tokens: Sequence[Token], place: int) -> bool:
    """ "1/2 tsp" is a part of something."""
    return any(unit_named(hit.meaning).measures in ("volume", "mass") for hit in unit_words().at(tokens, place))


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
