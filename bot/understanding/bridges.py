"""What may stand between a name and its number: "ph in the lobby was about 8.2".

A bridge goes over small linking words (they belong to the reading), and over names of tanks, times and other water
(they keep their own meaning). A wish ("ph should be 8.2", "alk to 9") breaks it: what follows was not measured.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text
from bot.understanding.units import Measure, Unit, units_at

_BESIDE_DEED = around("clauses", "beside_deed")

_LONGEST = 10


@dataclass(frozen=True)
class Bridge:
    """Led from a name to `measure` or to the word `limit`; `used` are the linking words, `of` other water on the way,
    `basis` how it is reported, `steps` how long the way was, `units` a unit word before the number ("alk dkh 8.3")."""

    measure: Measure | None = None
    limit: Hit | None = None
    used: frozenset[int] = frozenset()
    basis: str | None = None
    of: str | None = None
    steps: int = 0
    units: tuple[Unit, ...] = ()


def bridge_from(text: Text, start: int) -> Bridge | None:
    """The way from token `start`, just behind a name, to its number or limit; None where nothing leads there."""
    place, used, basis, of, steps = start, set[int](), None, None, 0
    units: tuple[Unit, ...] = ()
    while place < len(text.tokens) and steps <= _LONGEST:
        end = _end_at(text, place)
        if end:
            return Bridge(*end, frozenset(used), basis, of, steps, units)
        step = _step(text, place)
        if step is None:
            return None
        kind, hit = step
        basis = hit.meaning if kind == "basis" else basis
        of = hit.meaning if kind == "of" else of
        units = units_at(text.tokens, place)[0] if kind == "unit" else units
        used |= hit.span if kind != "passed" else set()
        place, steps = hit.stop, steps + (0 if kind == "mark" else 1)
    return None


def _end_at(text: Text, place: int) -> tuple[Measure | None, Hit | None] | None:
    measure = text.measure_at(place)
    if measure and not _is_left_behind(text, measure):
        return measure, None
    limit = limit_at(text, place)
    return (None, limit) if limit else None


def _is_left_behind(text: Text, measure: Measure) -> bool:
    """ "8.1 -> 8.3", "20 to 10": only the last of them counts."""
    hits = lexicon(TABLE, "trend").at(text.tokens, measure.stop)
    return any((after := text.measure_at(hit.stop)) and _leads(text, hit, measure, after) for hit in hits)


def _leads(text: Text, hit: Hit, measure: Measure, after: Measure) -> bool:
    """An arrow always leads to the value of now, "to" from a higher one; "77 to 79" may be a range."""
    return text.tokens[hit.start].text in "-=>" or (hit.meaning == "to" and measure.number.value > after.number.value)


def limit_at(text: Text, place: int) -> Hit | None:
    """A limit in words ("nd", "off the chart") at this token."""
    hits = [hit for hit in lexicon(TABLE, "limit").at(text.tokens, place) if hit.meaning in ("below", "above", "zero")]
    return hits[0] if hits else None


def _step(text: Text, place: int) -> tuple[str, Hit] | None:
    """One step over the token at `place`: what kind it is and where it ends."""
    change = _value_before(text, place) or _arrow(text, place)
    if change:
        return "change", change
    if place in text.passable:
        return "passed", Hit(place, text.passable[place], "")
    for kind in ("basis", "of", "link"):
        hits = lexicon(TABLE, kind).at(text.tokens, place)
        if hits:
            is_mark = kind == "link" and not text.tokens[place].is_word
            return ("mark" if is_mark else kind), hits[0]
    return _unit_before(text, place)


_READ_IN = ("concentration", "salinity", "conductivity", "temperature", "alkalinity", "hardness", "potential")


def _unit_before(text: Text, place: int) -> tuple[str, Hit] | None:
    """A unit of readings before the number: "phosphorus ppb 25", "Temp (°F): 78"."""
    units, stop = units_at(text.tokens, place)
    fits = any(unit.measures in _READ_IN for unit in units)
    return ("unit", Hit(place, stop, "")) if fits else None


def _value_before(text: Text, place: int) -> Hit | None:
    """The "from 7.9 to" of "from 7.9 to 8.1": the value that follows counts."""
    words = lexicon(TABLE, "trend")
    start = next((hit.stop for hit in words.at(text.tokens, place) if hit.meaning == "from"), 0)
    measure = text.measure_at(start) if start else None
    hits = words.at(text.tokens, measure.stop) if measure else []
    return next((Hit(place, hit.stop, "") for hit in hits if hit.meaning == "to" and text.measure_at(hit.stop)), None)


def _arrow(text: Text, place: int) -> Hit | None:
    measure = text.measure_at(place)
    if measure is None or not _is_left_behind(text, measure):
        return None
    return Hit(place, lexicon(TABLE, "trend").at(text.tokens, measure.stop)[0].stop, "")


def bridge_back(text: Text, stop: int) -> tuple[int, frozenset[int]] | None:
    """From the end of a measure to a name behind it ("12 of nitrate"): where the name may begin, and the links used."""
    hits = lexicon(TABLE, "link_back").at(text.tokens, stop)
    return (hits[0].stop, hits[0].span) if hits else (stop, frozenset())


def is_wished(text: Text, name_start: int) -> bool:
    """Whether a wish stands right before the name ("want no3 20", "raise the alk")."""
    words = lexicon(TABLE, "wish")
    for place in range(max(0, name_start - 4), name_start):
        for hit in words.at(text.tokens, place):
            between = [token.text for token in text.tokens[hit.stop : name_start]]
            past = place and text.tokens[place - 1].text in _BESIDE_DEED
            if (
                not past
                and hit.stop <= name_start
                and all(word in ("the", "my", "our", "up", "down", "to", "of") for word in between)
            ):
                return True
    return False
