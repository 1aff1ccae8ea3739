"""Names in a row with numbers in a row ("0/0/40 amm nitrite nitrate", "amm and nitrite both 0"), and numbers that take
the name said before them ("an hr ago temp was 74.9, 76.1 now", "ph den 8.2 frag 8.1")."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.understanding.bridges import bridge_from, is_wished
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.pair import Pair
from bot.understanding.pairs import limited, pair_of
from bot.understanding.parameters import TABLE, Name
from bot.understanding.text import Text
from bot.understanding.units import Measure


def rows_in(text: Text) -> Iterator[tuple[Pair, ...]]:
    """Every row of names with its numbers or with one number for all: the pairs of a row belong together."""
    for names in _name_rows(text):
        links = _between(names)
        for numbers in _number_rows(text, names, links):
            yield from _row(text, names, numbers, links)
        yield from _all_alike(text, names, links)


def _row(
    text: Text, names: Sequence[Name], numbers: Sequence[Measure], links: frozenset[int]
) -> Iterator[tuple[Pair, ...]]:
    used = frozenset(range(min(names[0].start, numbers[0].start), max(names[-1].stop, numbers[-1].stop))) | links
    pairs = [pair_of(text, name, number, used) for name, number in zip(names, numbers, strict=True)]
    good = [replace(pair, plausible=1.05) for pair in pairs if pair]
    if len(good) == len(names):
        yield tuple(good)


def _name_rows(text: Text) -> Iterator[list[Name]]:
    """Runs of two and more different names with nothing but "/", ",", "and" and their like between."""
    by_start = {name.start: name for name in text.parameters if not name.letter}
    taken: set[int] = set()
    for start in sorted(by_start):
        if start in taken:
            continue
        row = [by_start[start]]
        while (following := _next_name(text, row[-1].stop, by_start)) and following.parameter not in {
            n.parameter for n in row
        }:
            row.append(following)
        if len(row) > 1:
            taken |= set(range(row[0].start, row[-1].stop))
            yield row


def _next_name(text: Text, stop: int, by_start: dict[int, Name]) -> Name | None:
    return by_start.get(_past_separator(text, stop))


def _past_separator(text: Text, place: int) -> int:
    hits = lexicon(TABLE, "list").at(text.tokens, place)
    place = hits[0].stop if hits else place
    more = lexicon(TABLE, "list").at(text.tokens, place)
    return more[0].stop if more else place


def _between(names: Sequence[Name]) -> frozenset[int]:
    return frozenset(range(names[0].start, names[-1].stop))


def _number_rows(text: Text, names: Sequence[Name], links: frozenset[int]) -> Iterator[list[Measure]]:
    """As many numbers as there are names, right behind or right before them."""
    behind = bridge_from(text, names[-1].stop)
    if behind and behind.measure and not is_wished(text, names[0].start):
        row = _run(text, behind.measure)
        if len(row) == len(names):
            yield row
    for measure in text.measures:
        row = _run(text, measure)
        if len(row) == len(names) and _reaches(text, row[-1].stop, names[0].start) and _heads(text, measure):
            yield row


def _run(text: Text, first: Measure) -> list[Measure]:
    """The numbers from `first` on that only separators part."""
    row = [first]
    while following := text.measure_at(_past_separator(text, row[-1].stop)):
        row.append(following)
    return row


def _heads(text: Text, measure: Measure) -> bool:
    """Whether no number of the same run stands before it."""
    return not any(other.start < measure.start and measure in _run(text, other)[1:] for other in text.measures)


def _reaches(text: Text, stop: int, start: int) -> bool:
    return stop <= start and all(token.text in (",", ":", "-", "for", "on", "(") for token in text.tokens[stop:start])


def _all_alike(text: Text, names: Sequence[Name], links: frozenset[int]) -> Iterator[tuple[Pair, ...]]:
    """ "amm and nitrite both 0", "ammonia/nitrite nd"."""
    joined = [token.text for a, b in itertools.pairwise(names) for token in text.tokens[a.stop : b.start]]
    bridge = bridge_from(text, names[-1].stop)
    if (
        bridge is None
        or not any(word in ("and", "&", "/", "n", "+") for word in joined)
        or is_wished(text, names[0].start)
    ):
        return
    if bridge.measure and len(_run(text, bridge.measure)) == 1:
        yield from _row_of_one(text, names, bridge.measure, links | bridge.used)
    elif bridge.limit:
        used = links | bridge.used | bridge.limit.span
        pairs = [pair for name in names for pair in limited(name, bridge.limit, used, bridge.of)]
        yield tuple(pairs)


def _row_of_one(
    text: Text, names: Sequence[Name], measure: Measure, used: frozenset[int]
) -> Iterator[tuple[Pair, ...]]:
    pairs = [pair_of(text, name, measure, used | measure.span) for name in names]
    good = [pair for pair in pairs if pair and pair.value.why is None]
    if len(good) == len(names):
        yield tuple(good)


def inherited_in(text: Text, pairs: Sequence[Pair]) -> Iterator[Pair]:
    """A number beside a tank, a time or other water, ending its clause: it takes the name of the reading before it."""
    for measure in text.measures:
        before = [p for p in pairs if p.named and p.value.why is None and max(p.used) < measure.start]
        last = max(before, key=lambda pair: (max(pair.used), pair.plausible, len(pair.used)), default=None)
        beside = _beside(text, measure) if last else None
        if last is None or beside is None:
            continue
        name = Name(measure.start, measure.start, last.parameter, last.basis)
        pair = pair_of(text, name, measure, measure.span | beside.span)
        if pair and pair.value.why is None:
            yield replace(pair, of=beside.meaning or None, plausible=0.8)


def on_both_scales(text: Text, pairs: Sequence[Pair]) -> Iterator[Pair]:
    """ "o2 6.8 92%", "do 6.8 mg/l (92%)": the share of saturation beside the concentration."""
    for pair in (p for p in pairs if p.parameter == "oxygen" and p.named and p.value.why is None):
        stop = max(pair.used) + 1
        place = stop + (stop < len(text.tokens) and text.tokens[stop].text in ("/", ",", "(", "or", "="))
        second = text.measure_at(place)
        if second and second.unit("share") and pair.value.unit != "%":
            closed = second.stop < len(text.tokens) and text.tokens[second.stop].text == ")"
            used = frozenset(range(stop, second.stop + closed))
            named = pair_of(text, Name(second.start, second.start, "oxygen"), second, used)
            if named and named.value.why is None:
                yield replace(named, of=pair.of, plausible=0.9)


def _beside(text: Text, measure: Measure) -> Hit | None:
    """What sets the number apart: other water before it (used up with it), or a tank or time on either side (left)."""
    water = next(
        (h for p in range(max(0, measure.start - 4), measure.start) for h in _water_at(text, p, measure.start)), None
    )
    water = water or _instrument_before(text, measure)
    places = {m.start: m.stop for m in text.mentions} | {i.start: i.stop for i in text.past}
    behind = places.get(measure.stop)
    before = any(_passes_link(text, stop, measure.start) for start, stop in places.items() if start < measure.start)
    ends = _ends_clause(text, measure.stop if behind is None else behind)
    parted = _is(text, measure.stop, "before", "after", "since") and _is(text, measure.start - 1, ",", "and", ";", "/")
    if not parted and not (ends and (water or before or behind is not None)):
        return None
    return water or Hit(measure.start, measure.start, "")


def _is(text: Text, place: int, *words: str) -> bool:
    return 0 <= place < len(text.tokens) and text.tokens[place].text in words


def _instrument_before(text: Text, measure: Measure) -> Hit | None:
    """ "the meter says 0.14": the same test by another instrument."""
    names = lexicon(TABLE, "instrument").words()
    says, named = (text.tokens[i].text if i >= 0 else "" for i in (measure.start - 1, measure.start - 2))
    told = says in ("says", "reads", "said", "read", "shows", "showed", "gives", "gave", ":") and named in names
    return Hit(measure.start - 2, measure.start, "") if told else None


def _water_at(text: Text, place: int, stop: int) -> list[Hit]:
    hits = lexicon(TABLE, "of").at(text.tokens, place)
    return [hit for hit in hits if hit.stop == stop or _passes_link(text, hit.stop, stop)]


def _ends_clause(text: Text, stop: int) -> bool:
    if stop < len(text.tokens) and text.tokens[stop].is_number:
        return True
    return stop == len(text.tokens) or text.tokens[stop].text in (
        ",",
        ".",
        ";",
        "\n",
        "and",
        "&",
        "n",
        "then",
        "-",
        "(",
        ")",
    )


def _passes_link(text: Text, start: int, stop: int) -> bool:
    links = ("is", "was", ":", "at", "its", "it's", "=", "-", ",")
    return start == stop or (start + 1 == stop and text.tokens[start].text in links)
