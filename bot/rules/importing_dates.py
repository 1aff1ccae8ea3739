"""The dates of an old log, in whatever order days and months stand, and the times beside them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from bot.facts.load import table

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_NUMBERS = re.compile(r"(\d{1,2})\s*([-/.])\s*(\d{1,2})\s*[-/.]\s*(\d{4}|\d{2})(?!\d)")
_DAY_WORD = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[\s.\-/]*([a-z]{3,9})\.?[\s,\-/]*(\d{4}|\d{2})(?!\d)", re.I)
_WORD_DAY = re.compile(r"([a-z]{3,9})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})", re.I)
_CLOCK = re.compile(r"(?<!\d)(\d{1,2})[:.h](\d{2})(?::\d{2})?\s*([ap])?", re.I)
_SERIAL = re.compile(r"[345]\d{4}(\.\d+)?")
_ZERO_DAY = datetime(1899, 12, 30)  # day 0 of the numbers that spreadsheets keep for dates
_NOON = time(12)


@dataclass(frozen=True)
class Stamp:
    """A date as written, read both ways (the same where it is sure); `clock` where a time stands with it; `instant`
    where it is a whole instant with its zone.
    """

    day_first: date | None
    month_first: date | None
    clock: time | None = None
    instant: datetime | None = None

    @property
    def is_open(self) -> bool:
        """Whether it is another day when read the other way round."""
        return None not in (self.day_first, self.month_first) and self.day_first != self.month_first

    def on(self, day_first: bool | None) -> date | None:
        """The date, days first or months first; what can be read one way only is read that way."""
        wanted, other = (self.day_first, self.month_first) if day_first else (self.month_first, self.day_first)
        return wanted or other


def stamp(text: str) -> Stamp | None:
    """The date that a cell holds; None where it holds none."""
    whole = _instant(text)
    if whole:
        return Stamp(whole.date(), whole.date(), whole.time(), whole)
    if _SERIAL.fullmatch(text):
        moment = _ZERO_DAY + timedelta(days=float(text))
        return Stamp(moment.date(), moment.date(), moment.time().replace(microsecond=0) if "." in text else None)
    for pattern, parts in _FORMS:
        found = pattern.search(text)
        days = parts(found) if found else (None, None)
        if found and any(days):
            return Stamp(*days, clock(text[: found.start()] + " " + text[found.end() :].lstrip("T")))
    return None


def clock(text: str) -> time | None:
    """The time of day that a text holds; None where it holds none."""
    found = _CLOCK.search(text)
    if not found:
        return None
    hour, minute, half = int(found[1]), int(found[2]), (found[3] or "").lower()
    hour = hour % 12 + 12 * (half == "p") if half else hour
    return time(hour, minute) if hour < 24 and minute < 60 else None


def order(stamps: Iterable[Stamp]) -> bool | None:
    """Whether days stand first, as far as the dates themselves tell; None where none of them does, or they disagree."""
    told = {s.day_first is not None for s in stamps if (s.day_first is None) != (s.month_first is None)}
    return told.pop() if len(told) == 1 else None


def moment(written: Stamp, day_first: bool | None, beside: time | None, zone: tzinfo) -> datetime | None:
    """The instant, with the time of another column where the date has none; noon where no time was written."""
    day = written.on(day_first)
    if written.instant or day is None:
        return written.instant
    return datetime.combine(day, written.clock or beside or _NOON, zone)


def _instant(text: str) -> datetime | None:
    """A whole instant such as 2026-03-03T08:41:00-05:00."""
    try:
        found = datetime.fromisoformat(text) if "T" in text else None
    except ValueError:
        return None
    return found if found and found.tzinfo else None


def _iso(found: re.Match[str]) -> tuple[date | None, date | None]:
    day = _date(int(found[1]), int(found[2]), int(found[3]))
    return day, day


def _numbers(found: re.Match[str]) -> tuple[date | None, date | None]:
    first, second, year = int(found[1]), int(found[3]), _year(found[4])
    if found[2] == ".":
        return _date(year, second, first), None
    return _date(year, second, first), _date(year, first, second)


def _day_word(found: re.Match[str]) -> tuple[date | None, date | None]:
    day = _date(_year(found[3]), _month(found[2]), int(found[1]))
    return day, day


def _word_day(found: re.Match[str]) -> tuple[date | None, date | None]:
    day = _date(_year(found[3]), _month(found[1]), int(found[2]))
    return day, day


_FORMS = ((_ISO, _iso), (_NUMBERS, _numbers), (_DAY_WORD, _day_word), (_WORD_DAY, _word_day))


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _month(word: str) -> int:
    names = table("words_import")["months"]["words"].split(", ")
    return names.index(word[:3].lower()) + 1 if word[:3].lower() in names else 0


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
