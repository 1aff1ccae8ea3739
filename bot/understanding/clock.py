"""Times of day: "16:05", "4pm", "4:15 p", "4 o'clock", "noon", "half past 4"; "1040" where an "at" says so."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time

from bot.understanding.lexicon import around, lexicon
from bot.understanding.spoken import spoken_at
from bot.understanding.tokens import Token
from bot.understanding.units import units_at


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day that ends before token `stop`; `sure`: which half of the day is said (or it is past noon);
    `bare`: only the "at" before it makes it one."""

    stop: int
    hour: int
    minute: int
    sure: bool
    bare: bool = False

    def times(self) -> tuple[time, ...]:
        """The one time that is said, or both halves of the day."""
        one = time(self.hour, self.minute)
        return (one,) if self.sure else (one, time((self.hour + 12) % 24, self.minute))

    def time(self, near_hour: int | None) -> time:
        """One of them: that of the part of the day around `near_hour`, else the working day's (7 to 18)."""
        wanted = 12 if near_hour is None else near_hour
        return min(self.times(), key=lambda t: (abs(t.hour + t.minute / 60 - wanted), t.hour))


def clock_at(tokens: Sequence[Token], place: int, opened: bool | None) -> Clock | None:
    """The time of day at `place`; `opened`: "at", "from", "since" stand before it, so that a bare number may be one."""
    if place >= len(tokens):
        return None
    if tokens[place].text in ("noon", "midday"):
        return Clock(place + 1, 12, 0, True)
    if tokens[place].text == "midnight":
        return Clock(place + 1, 0, 0, True)
    return _past_or_to(tokens, place) or _digital(tokens, place, bool(opened)) or _spoken(tokens, place, bool(opened))


def _digital(tokens: Sequence[Token], place: int, opened: bool) -> Clock | None:
    colon = _with_colon(tokens, place)
    hour, minute, stop = colon or _with_dot(tokens, place, opened) or _bare(tokens, place, opened)
    if stop == 0:
        return None
    half = _half(tokens, stop, hour)
    if half:
        return Clock(half[1], hour % 12 + half[0], minute, True)
    sure = (
        hour > 12 or hour == 0 or (colon is not None and len(tokens[place].text) == 2 and tokens[place].text[0] == "0")
    )
    clock_word = [hit for hit in lexicon("words_times", "word").at(tokens, stop) if hit.meaning == "oclock"]
    stop = clock_word[0].stop if clock_word and (colon or tokens[clock_word[0].start].text[0] == "o") else stop
    told = colon is not None or opened or bool(clock_word and tokens[clock_word[0].start].text[0] == "o")
    bare = colon is None and not clock_word
    return Clock(stop, hour, minute, sure, bare) if told and _is_clock(hour, minute) else None


def _is_clock(hour: int, minute: int) -> bool:
    return 0 <= hour < 24 and 0 <= minute < 60


_Read = tuple[int, int, int]
_NONE: _Read = (0, 0, 0)


def _with_colon(tokens: Sequence[Token], place: int) -> _Read | None:
    parts = tokens[place : place + 3]
    if len(parts) < 3 or parts[1].text not in (":", "h") or not (parts[1].glued and parts[2].glued):
        return None
    hour, minute = parts[0].text, parts[2].text
    good = re.fullmatch(r"[0-9]{1,2}", hour) and re.fullmatch(r"[0-9]{2}", minute) and parts[1].text == ":"
    return (int(hour), int(minute), place + 3) if good and _is_clock(int(hour), int(minute)) else None


def _with_dot(tokens: Sequence[Token], place: int, opened: bool) -> _Read | None:
    """ "at 16.05": only where "at" or the like stands before it, and with two digits behind the dot."""
    match = re.fullmatch(r"([0-9]{1,2})[.]([0-9]{2})", tokens[place].text)
    if not match or not (opened or _half(tokens, place + 1, int(match[1]))):
        return None
    hour, minute = int(match[1]), int(match[2])
    return (hour, minute, place + 1) if _is_clock(hour, minute) and tokens[place].is_number else None


def _bare(tokens: Sequence[Token], place: int, opened: bool) -> _Read:
    """ "4" (of "4pm", "at 4") and "1040" (of "from 1040")."""
    text = tokens[place].text
    if not tokens[place].is_number or not re.fullmatch(r"[0-9]{1,4}", text):
        return _NONE
    hour, minute = (int(text[:-2]), int(text[-2:])) if len(text) > 2 else (int(text), 0)
    if len(text) < 3 and place + 1 < len(tokens) and tokens[place + 1].text in _LENGTHS:
        return _NONE
    if any(unit.measures in _NO_TIME for unit in units_at(tokens, place + 1)[0]):
        return _NONE
    return (hour, minute, place + 1) if _is_clock(hour, minute) else _NONE


_LENGTHS = around("clock", "lengths")
"""Behind a number these make it a length of time, not a time of day ("after 2 h")."""
_NO_TIME = ("concentration", "conductivity", "potential")
""" "at 200 ppm" tells no time."""


def _half(tokens: Sequence[Token], place: int, hour: int) -> tuple[int, int] | None:
    """0 for a.m. or 12 for p.m. behind an hour of the twelve, and where it ends; "a" and "p" only glued."""
    if not 1 <= hour <= 12:
        return None
    for hit in lexicon("words_times", "word").at(tokens, place):
        short = hit.stop == hit.start + 1 and len(tokens[hit.start].text) == 1
        if hit.meaning in ("am", "pm") and (not short or tokens[hit.start].glued):
            return (0 if hit.meaning == "am" else 12), hit.stop
    return None


def _past_or_to(tokens: Sequence[Token], place: int) -> Clock | None:
    """ "half past 4", "quarter to five", "ten past 3"."""
    share = lexicon("words_times", "share").at(tokens, place)
    said = spoken_at(tokens, place)
    minutes = {"0.5": 30, "0.25": 15}.get(share[0].meaning) if share else None
    at = share[0].stop if share else said.stop if said else place + 1
    minutes = minutes if minutes is not None else int(said.value) if said and said.value in (5, 10, 20, 25) else None
    if minutes is None or at + 1 >= len(tokens) or tokens[at].text not in ("past", "to", "after", "till"):
        return None
    hour = _hour(tokens, at + 1)
    if hour is None or (tokens[at].text == "to" and not share):
        return None
    late = tokens[at].text in ("past", "after")
    half = _half(tokens, hour[1], hour[0])
    base = hour[0] % 12 + (half[0] if half else 0) - (0 if late else 1)
    return Clock(half[1] if half else hour[1], base % 24, minutes if late else 60 - minutes, bool(half))


def _hour(tokens: Sequence[Token], place: int) -> tuple[int, int] | None:
    hour, _, stop = _bare(tokens, place, True)
    if stop and 1 <= hour <= 12 and len(tokens[place].text) < 3:
        return hour, stop
    said = spoken_at(tokens, place)
    return (int(said.value), said.stop) if said and 1 <= said.value <= 12 and said.value.is_integer() else None


def _spoken(tokens: Sequence[Token], place: int, opened: bool) -> Clock | None:
    """ "at four", "four pm", "four thirty pm"."""
    said = spoken_at(tokens, place)
    if said is None or said.share or not any(way.is_integer() for way in (said.value, *said.others)):
        return None
    hour, minute = _spoken_hour(said.value, said.others)
    half = _half(tokens, said.stop, hour)
    if half and _is_clock(hour, minute):
        return Clock(half[1], hour % 12 + half[0], minute, True)
    hangs = said.stop < len(tokens) and tokens[said.stop].text == "past"  # "at ten past": of which hour is not said
    good = opened and not hangs and 1 <= hour <= 12 and _is_clock(hour, minute)
    return Clock(said.stop, hour, minute, False, bare=True) if good else None


def _spoken_hour(value: float, others: tuple[float, ...]) -> tuple[int, int]:
    whole = int(max(way for way in (value, *others) if way.is_integer()))
    return (whole // 100, whole % 100) if whole >= 100 else (whole, 0)
