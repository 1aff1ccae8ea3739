"""A parameter and its number, found near one another in either order."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.understanding.bridges import Bridge, bridge_back, bridge_from, is_wished, limit_at
from bot.understanding.lexicon import Hit
from bot.understanding.numerals import tidy
from bot.understanding.pair import Pair, digits_of, is_rate
from bot.understanding.parameters import Name
from bot.understanding.strange import strange
from bot.understanding.surroundings import with_basis, with_before, with_water
from bot.understanding.text import Text
from bot.understanding.units import Measure, without_unit
from bot.understanding.unnamed import named_by_unit
from bot.understanding.values import Value, unit_of_bare, value_of


def pairs_in(text: Text) -> tuple[Pair, ...]:
    """Every pair of a name (or a unit that names) with a number or a limit; they compete, and may overlap."""
    found = [
        with_before(text, with_basis(text, pair))
        for pair in (*_name_first(text), *_number_first(text), *named_by_unit(text))
    ]
    return (*found, *(wider for pair in found for wider in with_water(text, pair)))


def _name_first(text: Text) -> Iterator[Pair]:
    for name in text.parameters:
        bridge = bridge_from(text, name.stop)
        if bridge and not is_wished(text, name.start) and not _too_far(name, bridge) and not _is_unit_of(text, name):
            yield from _led(text, name, bridge)


def _is_unit_of(text: Text, name: Name) -> bool:
    """The "ppt" of "34.9 ppt 24.6" belongs to the number before it; the "dkh" of "ph 8.1 dkh 8.3" cannot."""
    before = next((m for m in text.measures if m.number.stop == name.start and m.units), None)
    if before is None or name.unit is None:
        return False
    holder = next((n for n in text.parameters if n.stop == before.start and not n.letter), None)
    value = value_of(holder.parameter, before, digits_of(text, before), holder.unit) if holder else None
    return holder is None or (value is not None and value.why is None)


def _too_far(name: Name, bridge: Bridge) -> bool:
    return bridge.steps > (1 if name.letter else 2 if name.open else 10)


def _led(text: Text, name: Name, bridge: Bridge) -> Iterator[Pair]:
    if bridge.limit:
        yield from limited(name, bridge.limit, name.span | bridge.used | bridge.limit.span, bridge.of)
    for measure in _versions(text, name, _in_unit(bridge)):
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


def _versions(text: Text, name: Name, measure: Measure | None) -> list[Measure]:
    """The measure with its unit; and without it, where the unit word may begin something else ("ca 420 mg 1280"); and
    with a second one behind a slash, as a range between two colours of a chart ("nitrate 5/10", "temp 77 to 79")."""
    if measure is None:
        return []
    measure = _with_thousands(text, name, measure)
    chips = _between_chips(text, measure)
    if chips:
        return [chips]
    bare = without_unit(measure)
    if measure.unit("time") and measure.stop < len(text.tokens) and text.tokens[measure.stop].is_number:
        return [bare]  # "cu .21 day 4"
    opens_next = any(_opens_next(text, each, measure) for each in text.parameters)
    return [measure, bare] if measure.units and opens_next else [measure]


def _with_thousands(text: Text, name: Name, measure: Measure) -> Measure:
    """ "mg 1 310": a number and three digits more are one, where only that is usual for the test."""
    rest = text.measure_at(measure.stop)
    digits, more = (text.tokens[m.number.start].text if m else "" for m in (measure, rest))
    if rest and rest.number.spoken and 10 <= rest.number.value < 100:
        more = f"{rest.number.value:.0f}"
    if rest and rest.number.spoken and len(more) == 2 and len(digits) == 2:
        more, digits = digits[1] + more, digits[0]  # "13 fifty"
    parted = digits.isdigit() and len(digits) <= 2 and more.isdigit() and len(more) == 3 and not measure.units
    if not rest or not parted or measure.number.stop != rest.number.start or rest.number.low is not None:
        return measure
    number = replace(measure.number, stop=rest.number.stop, value=float(digits + more), others=())
    whole = Measure(number, rest.units, measure.start, rest.stop)
    found = [value_of(name.parameter, each, digits + more, name.unit) for each in (measure, whole)]
    one, both = (value.plausible if value and value.why is None else 0.0 for value in found)
    return whole if both == 1.0 > one else measure


def _opens_next(text: Text, name: Name, measure: Measure) -> bool:
    """Whether the unit word behind the number is a name with a number of its own: "ca 420 mg 1280"."""
    there = name.start == measure.number.stop and name.stop >= measure.stop
    return there and bridge_from(text, name.stop) is not None


def _between_chips(text: Text, measure: Measure) -> Measure | None:
    second = text.measure_at(measure.stop + 1)
    if measure.stop < len(text.tokens) and text.tokens[measure.stop].text == "maybe":
        second = text.measure_at(measure.stop) or second
    slash = text.tokens[measure.stop] if measure.stop < len(text.tokens) else None
    if (
        not second
        or not slash
        or slash.text not in ("/", "to", "or", "maybe")
        or measure.units
        or not (slash.is_word or (slash.glued and text.tokens[second.start].glued))
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
    if is_rate(text, measure) or _is_morning(text, name):
        return None
    value = value_of(name.parameter, measure, digits_of(text, measure), name.unit)
    if value is None:
        return None
    value, doubted = strange(text, measure, value)
    number = measure.number
    plausible = 0.75 if name.letter and value.plausible < 1 else 0.98 if name.open else 1.0
    return Pair(
        name.parameter,
        value,
        used | doubted,
        measure.start,
        measure,
        name.basis,
        name.of,
        number.below,
        number.above,
        plausible,
    )


def _is_morning(text: Text, name: Name) -> bool:
    """The "am" of "8.0 am 8.3 pm" is no ammonia."""
    words = [token.text for token in text.tokens]
    return name.letter and words[name.start : name.stop] == ["am"] and "pm" in words


def is_value_of_name(text: Text, measure: Measure) -> bool:
    """Whether a name right before the number holds it: the 8 of "alk 8 tang died" counts no tangs."""
    names = (n for n in text.parameters if n.stop == measure.start and n.stop > n.start and not n.letter)
    pairs = (pair_of(text, name, without_unit(measure), name.span | measure.span) for name in names)
    return any(pair is not None and pair.value.why is None for pair in pairs)


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
