"""Claims on the words that tell when something was."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim, When, weigh
from bot.understanding.clauses import word
from bot.understanding.text import Text

_NOT_WHEN = ("until", "till", "til", "as", "than", "like", "vs", "versus")


def claims(text: Text) -> Iterator[Claim]:
    """One for each instant, as it lies behind; a bare "today" is as good as now. Tasks and waits take their own."""
    yield from _days_of_a_course(text)
    for instant in text.past:
        if word(text, instant.start - 1) in _NOT_WHEN:  # "off til friday", "same as last week": it tells no time
            until = instant.span | {instant.start - 1}
            yield Claim((), until, weigh(text.tokens, until, 0.9))
            continue
        weight = weigh(text.tokens, instant.span, 0.7 if instant.bare else 0.9)
        now = instant.is_now or (not instant.exact and instant.day == text.situation.now.date())
        yield Claim((), instant.span, weight, covers=When(None if now else instant.at, instant.doubt))


def _days_of_a_course(text: Text) -> Iterator[Claim]:
    """ "day 4", "day 10 of 14": the number counts days, and is no value."""
    for place, token in enumerate(text.tokens):
        if token.text == "day" and (number := text.measure_at(place + 1)) and not number.units:
            more = text.measure_at(number.stop + 1) if word(text, number.stop) in ("of", "/") else None
            used = frozenset(range(place, more.stop if more and not more.units else number.stop))
            yield Claim((), used, weigh(text.tokens, used, 0.9))
