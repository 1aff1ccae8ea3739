"""The numbers of a message with what belongs to them: ranges, limits, hedges, and corrections on the spot."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.numerals import Number, numeral_at, tidy
from bot.understanding.tokens import Token
from bot.understanding.units import unit_named, unit_words


def numbers_in(tokens: Sequence[Token], decimal_comma: bool, names: frozenset[int]) -> tuple[Number, ...]:
    """The numbers of a message in order; digits that make no number are left out (see `numerals.spoilt_in`), and those
    that stand in a name ("nh3/4")."""
    plain: list[Number] = []
    place = 0
    while place < len(tokens):
        number = None if place in names else numeral_at(tokens, place, decimal_comma) or _one_of(tokens, place)
        plain += [number] if number else []
        place = number.stop if number else place + 1
    ranged = _pairs(tokens, _pairs(tokens, plain, _extremes), _range)
    return tuple(_hedged(tokens, number) for number in _pairs(tokens, ranged, _mended))


def _one_of(tokens: Sequence[Token], place: int) -> Number | None:
    """The "a" of "a cup of", "a gallon": one of a measure of volume or mass."""
    if tokens[place].text not in ("a", "an") or place + 1 >= len(tokens) or len(tokens[place + 1].text) < 3:
        return None
    units = (unit_named(hit.meaning) for hit in unit_words().at(tokens, place + 1))
    measured = any(unit.measures in ("volume", "mass") for unit in units)
    return Number(place, place + 1, 1.0, spoken=True) if measured else None


_Join = Callable[[Sequence[Token], Number, Number], Number | None]


def _pairs(tokens: Sequence[Token], numbers: Sequence[Number], join: _Join) -> list[Number]:
    done: list[Number] = []
    for number in numbers:
        joined = join(tokens, done[-1], number) if done else None
        done[-1:] = [joined] if joined else [*done[-1:], number]
    return done


def _range(tokens: Sequence[Token], first: Number, second: Number) -> Number | None:
    """ "8.2-8.4", "10 - 20" and "between 5 and 10"; a fall ("27-24") and a row of three are none."""
    between = [token.text for token in tokens[first.stop : second.start]]
    if first.low is not None or not 0 <= first.value < second.value:
        return None
    opening = _hedge_before(tokens, first.start, ("between",))
    if between == ["-"] and not opening and not _is_dash(tokens, first, second):
        return None
    if between == ["-"] or (opening and between in (["and"], ["&"], ["to"], ["n"])):
        start = opening.start if opening else first.start
        return Number(start, second.stop, tidy((first.value + second.value) / 2), low=first.value, high=second.value)
    return None


def _extremes(tokens: Sequence[Token], first: Number, second: Number) -> Number | None:
    """ "hi 82 lo 77", "min 77f max 82f", "82 high, 77 low": the ends of a range."""
    for place, ahead in ((first.start - 1, True), (first.stop, False)):
        one, stop = _extreme_at(tokens, first, place, ahead)
        other = _extreme_at(tokens, second, second.start - 1 if ahead else second.stop, ahead)[0]
        between = range(first.stop if ahead else stop, second.start - ahead)
        low, high = sorted((first.value, second.value))
        ordered = (first.value > second.value) == (one == "high")
        if (
            one
            and other
            and one != other
            and ordered
            and low < high
            and _is_unit_or_mark(tokens, between.start, between.stop)
        ):
            start, end = (
                (place, second.stop) if ahead else (first.start, _extreme_at(tokens, second, second.stop, False)[1])
            )
            return Number(start, end, tidy((low + high) / 2), low=low, high=high)
    return None


def _extreme_at(tokens: Sequence[Token], number: Number, place: int, ahead: bool) -> tuple[str | None, int]:
    """Which end the word beside a number tells ("high", "low"), and where that word ends; a unit may stand between."""
    if not ahead:
        place = next((hit.stop for hit in unit_words().at(tokens, place)), place)
    word = tokens[place].text if 0 <= place < len(tokens) else ""
    return _EXTREMES.get(word), place + 1


_EXTREMES = {"hi": "high", "high": "high", "max": "high", "lo": "low", "low": "low", "min": "low"}


def _is_dash(tokens: Sequence[Token], first: Number, second: Number) -> bool:
    """A dash with space on both sides or on none, in no longer row ("555-0100-12")."""
    dash = tokens[first.stop]
    even = dash.glued == tokens[second.start].glued
    row = _is_dashed(tokens, second.stop) or (first.start > 1 and _is_dashed(tokens, first.start - 1))
    return even and not row


def _is_dashed(tokens: Sequence[Token], place: int) -> bool:
    return 0 <= place < len(tokens) and tokens[place].text == "-" and tokens[place].glued


def _mended(tokens: Sequence[Token], first: Number, second: Number) -> Number | None:
    """ "8.2 sorry 8.0", "20 gal no wait 25", "78.. er 77.8"."""
    strong = _mend_between(tokens, first.stop, second.start, "mend")
    alike = first.value > 0 and 0.7 < second.value / first.value < 1.4 and not _has_time_unit(tokens, second)
    weak = alike and _mend_between(tokens, first.stop, second.start, "mend_alike")
    return replace(second, start=first.start, old=first.value) if strong or weak else None


def _has_time_unit(tokens: Sequence[Token], number: Number) -> bool:
    return any(hit.meaning in ("min", "h", "s", "day") for hit in unit_words().at(tokens, number.stop))


def _mend_between(tokens: Sequence[Token], start: int, stop: int, group: str) -> Hit | None:
    """The word that takes the number before it back, with nothing else around it than a unit and marks."""
    if stop - start > 8:
        return None
    hits = (hit for place in range(start, stop) for hit in lexicon("words_times", group).at(tokens, place))
    return next((hit for hit in hits if hit.stop <= stop and _frames(tokens, start, hit, stop)), None)


def _frames(tokens: Sequence[Token], start: int, hit: Hit, stop: int) -> bool:
    if tokens[hit.start].text == "*" and tokens[hit.start].glued:
        return False
    return _is_unit_or_mark(tokens, start, hit.start) and _is_unit_or_mark(tokens, hit.stop, stop)


def _is_unit_or_mark(tokens: Sequence[Token], start: int, stop: int) -> bool:
    place = start
    while place < stop:
        units = [hit for hit in unit_words().at(tokens, place) if hit.stop <= stop]
        if not units and tokens[place].kind not in ("mark", "line") and tokens[place].text not in ("it's", "its"):
            return False
        place = units[0].stop if units else place + 1
    return True


def _hedged(tokens: Sequence[Token], number: Number) -> Number:
    """With "about", "<", "ish", "+" and their like, which become part of it."""
    before = _hedge_before(tokens, number.start, ("about", "below", "above"))
    if before:
        number = _with_hedge(replace(number, start=before.start), before.meaning)
        return _hedged(tokens, number) if before.meaning == "about" else number
    after = hedge_after(tokens, number.stop)
    return _with_hedge(replace(number, stop=after.stop), after.meaning) if after else number


def _with_hedge(number: Number, meaning: str) -> Number:
    return replace(
        number,
        about=number.about or meaning == "about",
        below=number.below or meaning == "below",
        above=number.above or meaning == "above",
    )


def _hedge_before(tokens: Sequence[Token], stop: int, meanings: tuple[str, ...]) -> Hit | None:
    """The longest hedge whose last token is just before `stop`."""
    words = lexicon("words_times", "hedge")
    hits = (hit for place in range(max(0, stop - 4), stop) for hit in words.at(tokens, place))
    return next((h for h in hits if h.stop == stop and h.meaning in meanings and not _is_arrow(tokens, h)), None)


def _is_arrow(tokens: Sequence[Token], hit: Hit) -> bool:
    """The ">" of "8.0 -> 8.4"."""
    return tokens[hit.start].text == ">" and tokens[hit.start].glued and tokens[hit.start - 1].text in ("-", "=")


def hedge_after(tokens: Sequence[Token], place: int) -> Hit | None:
    """The hedge that begins at `place`, unless another number follows it ("8.2 about 78")."""
    for hit in lexicon("words_times", "hedge_after").at(tokens, place):
        opens_next = hit.stop < len(tokens) and tokens[hit.stop].is_number
        floating = tokens[hit.start].text == "+" and not tokens[hit.start].glued
        if not opens_next and not floating:
            return hit
    return None
