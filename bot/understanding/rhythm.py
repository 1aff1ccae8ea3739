"""How often: "every 2 wks", "weekly", "fortnightly", "q2w", "every 9 months"."""

from __future__ import annotations

from dataclasses import dataclass

from bot.understanding.clauses import word
from bot.understanding.durations import MINUTES
from bot.understanding.lexicon import lexicon
from bot.understanding.text import Text

_DAY_MIN = 1440.0


@dataclass(frozen=True)
class Rhythm:
    """Days from one time to the next; `open` where the words can mean two things ("bi-weekly"); tokens and words."""

    days: float | None
    used: frozenset[int]
    said: str
    open: bool = False


def rhythm_in(text: Text, inside: range) -> Rhythm | None:
    """The rhythm said in a stretch, None where none is."""
    for hit in text.hits("words_tasks", "every"):
        if hit.start in inside and hit.stop <= inside.stop:
            said = text.typed(hit.start, hit.stop)
            if hit.meaning == "ask":
                return Rhythm(None, hit.span, said, open=True)
            return Rhythm(float(hit.meaning), hit.span, said)
    return _every_weekday(text, inside) or _every_length(text, inside)


def _every_weekday(text: Text, inside: range) -> Rhythm | None:
    """ "every monday": each week; the day itself is left to whoever looks for the first time."""
    for place in (i for i in inside if word(text, i - 1) in ("every", "each")):
        days = lexicon("words_times", "weekday").at(text.tokens, place)
        if days and place - 1 in inside:
            return Rhythm(7.0, frozenset((place - 1,)), text.typed(place - 1, days[0].stop))
    return None


def _every_length(text: Text, inside: range) -> Rhythm | None:
    """ "every 10 days", "every 9 months"; a month as a twelfth of a year."""
    for length in text.durations:
        opened = word(text, length.start - 1) in ("every", "each")
        if opened and length.start - 1 in inside and length.unit in ("day", "week", "month", "year"):
            days = length.minutes / _DAY_MIN
            if length.unit == "month":
                days = round(length.minutes / MINUTES["month"] * 365 / 12)
            return Rhythm(days, length.span | {length.start - 1}, text.typed(length.start - 1, length.stop))
    return None
