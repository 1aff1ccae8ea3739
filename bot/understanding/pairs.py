"""A parameter and its number, found near one another in either order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from bot.facts.load import table
from bot.understanding.bridges import Bridge, bridge_back, bridge_from, is_wished, limit_at
from bot.understanding.lexicon import Hit, lexicon, phrases, vocabulary
from bot.understanding.numerals import tidy
from bot.understanding.parameters import TABLE, Name
from bot.understanding.text import Text
from bot.understanding.units import Measure, without_unit
from bot.understanding.values import Value, unit_of_bare, value_of


@dataclass(frozen=True)
class Pair:
    """`parameter` has `value`, say the tokens `used`; `named`: by its name, not by its unit alone; `before`: the value
    that it had before, where the text tells it."""

    parameter: str
    value: Value
    used: frozenset[int]
    place: int
    measure: Measure | None = None
    basis: str | None = None
    of: str | None = None
    below: bool = False
    above: bool = False
    plausible: float = 1.0
    named: bool = True


def pairs_in(text: Text) -> tuple[Pair, ...]:
    """Every pair of a name (or a unit that names) with a number or a limit; they compete, and may overlap."""
    found = [
        _with_before(text, _with_basis(text, pair))
        for pair in (*_name_first(text), *_number_first(text), *_by_unit(text))
    ]
    return (*found, *(wider for pair in found for wider in _with_water(text, pair)))


def _name_first(text: Text) -> Iterator[Pair]:
    for name in text.parameters:
        bridge = bridge_from(text, name.stop)
        if bridge and not is_wished(text, name.start) and not _too_far(name, bridge):
            yield from _led(text, name, bridge)


def _too_far(name: Name, bridge: Bridge) -> bool:
    return bridge.steps > (1 if name.letter else 2 if name.open else 10)


def _led(text: Text, name: Name, bridge: Bridge) -> Iterator[Pair]:
    if bridge.limit:
        yield from limited(name, bridge.limit, name.span | bridge.used, bridge.of)
    for measure in _versions(text, _in_unit(bridge)):
        pair = pair_of(text, name, measure, name.span | bridge.used | measure.span)
        if pair:
            far = 0.97 ** max(0, bridge.steps - 1)
            yield replace(
                pair, basis=bridge.basis or pair.basis, of=bridge.of or pair.of, plausible=pair.plausible * far
            )


def _in_unit(bridge: Bridge) -> Measure | None:
    """The number of the bridge, in the unit that stands before it if none stands behind."""
    measure = bridge.measure
    return replace(measure, units=bridge.units) if measure and bridge.units and not measure.units else measure


def _versions(text: Text, measure: Measure | None) -> list[Measure]:
    """The measure with its unit; and without it, where the unit word may begin something else ("ca 420 mg 1280"); and
    with a second one behind a slash, as a range between two colours of a chart ("nitrate 5/10")."""
    if measure is None:
        return []
    chips = _between_chips(text, measure)
    if chips:
        return [chips]
    bare = without_unit(measure)
    opens_next = any(_opens_next(text, name, measure) for name in text.parameters)
    return [measure, bare] if measure.units and opens_next else [measure]


def _opens_next(text: Text, name: Name, measure: Measure) -> bool:
    """Whether the unit word behind the number is a name with a number of its own: "ca 420 mg 1280"."""
    there = name.start == measure.number.stop and name.stop >= measure.stop
    return there and bridge_from(text, name.stop) is not None


def _between_chips(text: Text, measure: Measure) -> Measure | None:
    second = text.measure_at(measure.stop + 1)
    slash = text.tokens[measure.stop] if measure.stop < len(text.tokens) else None
    if (
        not second
        or not slash
        or slash.text != "/"
        or measure.units
        or not (slash.glued and text.tokens[second.start].glued)
    ):
        return None
    low, high = measure.number.value, second.number.value
    longer = second.stop < len(text.tokens) and text.tokens[second.stop].text == "/"
    if longer or not 0 <= low < high <= max(2.5 * low, 1.0):
        return None
    number = replace(
        measure.number, stop=second.number.stop, value=tidy((low + high) / 2), others=(), low=low, high=high
    )
    return Measure(number, second.units, measure.start, second.stop)


def pair_of(text: Text, name: Name, measure: Measure, used: frozenset[int]) -> Pair | None:
    """The name with the measure as its value, if its unit fits; a rate ("2 ppt a day") is no value."""
    if _is_rate(text, measure):
        return None
    value = value_of(name.parameter, measure, _digits(text, measure), name.unit)
    if value is None:
        return None
    value, strange = _strange(text, measure, value)
    number = measure.number
    plausible = 0.75 if name.letter and value.plausible < 1 else 0.98 if name.open else 1.0
    return Pair(
        name.parameter,
        value,
        used | strange,
        measure.start,
        measure,
        name.basis,
        name.of,
        number.below,
        number.above,
        plausible,
    )


def _strange(text: Text, measure: Measure, value: Value) -> tuple[Value, frozenset[int]]:
    """The value, in doubt if a unit that is none of ours stands behind it, or letters that touch the digits and are no
    words ("1O", "4e3"); and the tokens of these."""
    stop = measure.stop
    if measure.units or stop >= len(text.tokens) or any(name.start == stop for name in text.parameters):
        return value, frozenset()
    cut = _cut_short(text, stop)
    if cut:
        return replace(value, why="unlikely_value", plausible=0.7), cut
    hits = lexicon(TABLE, "foreign_unit").at(text.tokens, stop)
    if hits:
        return replace(value, why="which_unit", plausible=0.7), hits[0].span
    letters = _touching(text, stop)
    return (replace(value, why="unlikely_value", plausible=0.7) if letters else value), letters


def _cut_short(text: Text, stop: int) -> frozenset[int]:
    """ "8.O2": whole digits, a point, and letters that touch it."""
    tokens = text.tokens[stop - 1 : stop + 2]
    if len(tokens) < 3 or not (tokens[0].text.isdigit() and tokens[1].text == "."):
        return frozenset()
    return frozenset((stop, stop + 1)) if tokens[1].glued and tokens[2].glued and tokens[2].is_word else frozenset()


def _touching(text: Text, stop: int) -> frozenset[int]:
    """Letters right behind digits that are no word of ours, with what touches them in turn."""
    end = stop
    while (
        end < len(text.tokens) and text.tokens[end].glued and (text.tokens[end].is_word or text.tokens[end].is_number)
    ):
        end += 1
    first = text.tokens[stop]
    small = first.text in lexicon("words_plain", "small").words() and len(first.text) > 1
    known = end == stop + 1 and (small or (len(first.text) > 2 and first.text in vocabulary()))
    return (
        frozenset()
        if known or not first.is_word or not text.tokens[stop - 1].is_number
        else frozenset(range(stop, end))
    )


def _digits(text: Text, measure: Measure) -> str:
    """The digits of the number as typed; of one corrected on the spot, the right ones."""
    digits = [text.tokens[i].text for i in sorted(measure.number.span) if text.tokens[i].is_number]
    return digits[-1 if measure.number.old is not None else 0] if digits else ""


def _number_first(text: Text) -> Iterator[Pair]:
    """ "8.2 ph", "12 ppm of nitrate", "undetectable nitrites"."""
    for name in text.parameters:
        for measure, used in _measures_before(text, name):
            pair = pair_of(text, name, measure, used)
            if pair:
                yield replace(pair, plausible=pair.plausible * 0.96)
        for start in range(max(0, name.start - 5), name.start):
            limit = limit_at(text, start)
            if limit and limit.stop == name.start and not name.open:
                yield from limited(name, limit, limit.span | name.span, None, 0.9)


def _measures_before(text: Text, name: Name) -> Iterator[tuple[Measure, frozenset[int]]]:
    """The number right before the name, or with "of", "for" between; "1300 mg" only where such rows are typed so."""
    if name.letter:
        return
    measure = text.measure_ending(name.start)
    if measure:
        yield measure, measure.span | name.span
    for start in range(max(0, name.start - 2), name.start):
        linked = text.measure_ending(start)
        back = bridge_back(text, start)
        if linked and back and back[0] == name.start and back[1] and not name.open:
            yield linked, linked.span | back[1] | name.span
    symbol = text.measure_ending(name.stop)
    if symbol and symbol.number.stop == name.start and _in_row_of_such(text, symbol):
        yield without_unit(symbol), symbol.span


def _in_row_of_such(text: Text, measure: Measure) -> bool:
    """Whether another name with its number before it ends where this number begins: "420 ca 1300 mg"."""
    return any(n.stop == measure.start and text.measure_ending(n.start) for n in text.parameters if not n.letter)


def limited(name: Name, limit: Hit, used: frozenset[int], of: str | None, plausible: float = 1.0) -> Iterator[Pair]:
    """ "nitrite nd": below, value 0; "nitrate off the chart": above a limit that is not said, value 0."""
    unit = "degC" if name.parameter == "temperature" else name.unit or unit_of_bare(name.parameter, 1e3) or "mg/L"
    unit = "dKH" if name.parameter == "alkalinity" else unit
    if name.parameter in ("temperature", "ph", "salinity", "orp"):
        return
    yield Pair(
        name.parameter,
        Value(0.0, unit),
        used,
        name.start,
        basis=name.basis,
        of=of or name.of,
        below=limit.meaning != "above",
        above=limit.meaning == "above",
        plausible=plausible,
    )


def _is_rate(text: Text, measure: Measure) -> bool:
    """ "2 ppt a day", "1 dkh/day", "0.5 per week"."""
    words = [token.text for token in text.tokens[measure.stop : measure.stop + 2]]
    per = len(words) == 2 and words[0] in ("a", "an", "per", "/", "each", "every")
    return bool(words) and (words[0] in ("daily", "weekly", "hourly") or (per and words[1] in _SPANS))


_SPANS = frozenset(("day", "hour", "hr", "h", "week", "wk", "d", "min", "minute", "month", "night"))


def _by_unit(text: Text) -> Iterator[Pair]:
    """ "78f", "35 ppt", "8.4 dkh", and 1.0255, which can only be a specific gravity."""
    for measure in (each for each in text.measures if not _is_aimed_at(text, each) and not _is_rate(text, each)):
        for unit in measure.units:
            parameter = _parameter_of_unit().get(unit.name)
            if parameter:
                one = replace(measure, units=(unit,))
                value = value_of(parameter, one, _digits(text, measure))
                if value and _unit_alone(text, measure, unit.name, value):
                    yield _unnamed(parameter, value, one)
        if _is_gravity(text, measure):
            value = value_of("salinity", without_unit(measure), _digits(text, measure))
            if value and value.why is None:
                yield _unnamed("salinity", value, without_unit(measure))


def _is_aimed_at(text: Text, measure: Measure) -> bool:
    """A bare value behind "to", "from", "than" is wished or compared, behind "of" or "with" or "100 L at" it tells of
    other water; in a question it is part of the sum."""
    before = text.tokens[measure.start - 1].text if measure.start else ""
    amount = text.measure_ending(measure.start - 1)
    mixed = before in ("at", "@", "of") and amount is not None and amount.unit("volume", "mass") is not None
    return before in _AIMS or mixed or _asks(text, _sentence_start(text, measure.start))


_AIMS = frozenset(("to", "from", "with", "for", "of", "until", "than", "if", "want", "when", "till", "into", "under"))
_ASKING = frozenset(
    ("how", "what", "whats", "what's", "is", "are", "can", "should", "which", "why", "will", "does", "do")
)


def _asks(text: Text, start: int) -> bool:
    """Whether the sentence opens as a question; "do 6.9" is oxygen."""
    followed = start + 1 < len(text.tokens) and not text.tokens[start + 1].is_number
    return followed and text.tokens[start].text in _ASKING


def _sentence_start(text: Text, place: int) -> int:
    ends = (i + 1 for i in range(place - 1, -1, -1) if text.tokens[i].text in (".", "!", "?", ";", "\n"))
    return next((i for i in ends if i == place or not text.tokens[i].glued), 0)


def _unnamed(parameter: str, value: Value, measure: Measure) -> Pair:
    number = measure.number
    return Pair(
        parameter,
        value,
        measure.span,
        measure.start,
        measure,
        below=number.below,
        above=number.above,
        plausible=0.9,
        named=False,
    )


def _unit_alone(text: Text, measure: Measure, unit: str, value: Value) -> bool:
    """A "c" may be a cup, an "f" or "ms" nothing: alone they must touch the digits and give a usual value."""
    word = text.tokens[measure.number.stop].text
    return len(word) > 2 or word in ("°", "sg") or value.plausible == 1.0


def _is_gravity(text: Text, measure: Measure) -> bool:
    digits = _digits(text, measure).replace(",", ".")
    return digits.startswith("1.0") and 5 <= len(digits) <= 6 and measure.number.low is None


def _parameter_of_unit() -> dict[str, str]:
    rows = table(TABLE)["unit_parameter"].items()
    return {unit: parameter for parameter, units in rows for unit in phrases(units)}


def _with_basis(text: Text, pair: Pair) -> Pair:
    stop = max(pair.used) + 1
    hits = lexicon(TABLE, "basis").at(text.tokens, stop)
    if hits:
        return replace(pair, basis=hits[0].meaning, used=pair.used | hits[0].span)
    token = text.tokens[stop] if stop < len(text.tokens) else None
    letter = (
        token and token.typed == _ELEMENT.get(pair.parameter) and pair.measure and pair.measure.unit("concentration")
    )
    alone = not any(name.start == stop and name.stop > stop + 1 for name in text.parameters)
    return replace(pair, basis=token.typed, used=pair.used | {stop}) if token and letter and alone else pair


_ELEMENT = {"ammonia": "N", "nitrite": "N", "nitrate": "N", "phosphate": "P"}


def _with_before(text: Text, pair: Pair) -> Pair:
    """ "8.0 was 8.2", "20 up from 10": the value of before is only told."""
    stop = max(pair.used) + 1
    at = stop + 1 if stop < len(text.tokens) and text.tokens[stop].text in ("(", ",") else stop
    for hit in lexicon(TABLE, "trend").at(text.tokens, at):
        measure = text.measure_at(hit.stop)
        if hit.meaning == "from" and measure and pair.measure:
            return replace(pair, used=pair.used | frozenset(range(stop, measure.stop)))
    return pair


def _with_water(text: Text, pair: Pair) -> Iterator[Pair]:
    """ "tap ph 7.8", "72 in the bag": the same with the other water named beside it."""
    words = lexicon(TABLE, "of")
    first, stop = min(pair.used), max(pair.used) + 1
    for hit in (hit for place in range(max(0, first - 4), first) for hit in words.at(text.tokens, place)):
        if _reaches(text, hit.stop, first):
            yield replace(pair, of=hit.meaning, used=pair.used | frozenset(range(hit.start, first)))
    opener = stop
    while opener < len(text.tokens) and text.tokens[opener].text in ("in", "of", "from", "the", "at", "out"):
        opener += 1
    for hit in words.at(text.tokens, opener):
        if opener == stop and not _ends_here(text, hit.stop):
            continue
        yield replace(pair, of=hit.meaning, used=pair.used | frozenset(range(stop, hit.stop)))


def _ends_here(text: Text, stop: int) -> bool:
    return stop == len(text.tokens) or text.tokens[stop].text in (",", ".", ";", "\n", ")")


def _reaches(text: Text, stop: int, first: int) -> bool:
    """Whether nothing but "water", "the", a colon or a dash stands between other water's name and the reading."""
    return stop <= first and all(t.text in ("water", "is", ":", "-", "'s") for t in text.tokens[stop:first])
