"""What a team sets up in words: tanks, clients, people, ranges, nicknames, vats, orders, instruments, quiet hours.

Each is a Setting; `values` by `subject`:
    tank         name, volume, sump, kind, every_days, weekday      volume   volume
    client       name, address, contact, code, closed               nickname nickname
    person       name, role; or name, removed                       vat      name, volume, holds
    range        parameter, low, high, unit, most_per_day
    instrument   instrument, state (calibrated, new)                quiet_hours from, to
    units        units        copy from        retire               emergency text
A quantity is {value, unit}. Codes and addresses are what the text says; nobody reads them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise

from bot.understanding import new_lines
from bot.understanding.claims import Claim
from bot.understanding.clauses import clause, line, past_small, places, word, words
from bot.understanding.clock import clock_at
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, around
from bot.understanding.new_lines import as_said, made, meaning_in
from bot.understanding.pairs import pair_of, pairs_in
from bot.understanding.parameters import Name
from bot.understanding.text import Text

TABLE = "words_setup"
_SURE = 1.6


def claims(text: Text) -> Iterator[Claim]:
    """Every line or clause that sets something up."""
    for hit in text.hits(TABLE, "new"):
        if hit.meaning in _LINES and _opens_line(text, hit):
            yield from _LINES[hit.meaning](text, hit)
    yield from _person(text)
    yield from _removed(text)
    yield from _range(text)
    yield from _one_bound(text)
    yield from _volume(text)
    yield from _instrument(text)
    yield from _nicknamed(text)


def _opens_line(text: Text, hit: Hit) -> bool:
    inside = line(text, hit.start)
    return past_small(text, inside.start, hit.start + 1, POLITE | {"set", "change", "update"}) == hit.start


def _quiet_hours(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = line(text, hit.start)
    clocks = [
        (i, c)
        for i in range(hit.stop, inside.stop)
        if (c := clock_at(text.tokens, i, True)) and text.tokens[i].is_number
    ]
    starts = [c for i, c in clocks if not any(i > j and i < d.stop for j, d in clocks)]
    if len(starts) >= 2:
        times = [f"{c.hour:02d}:{c.minute:02d}" for c in starts[:2]]
        yield made(text, "quiet_hours", inside, {"from": times[0], "to": times[1]})


def _units(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    system = meaning_in(text, "system", inside)
    if system and len(inside) <= 5:
        yield made(text, "units", inside, {"units": system})


def _copy(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    tank, _ = tank_in(text, range(hit.start, inside.stop))
    if tank:
        yield made(text, "copy", inside, {"from": tank})


def _retire(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    tank, _ = tank_in(text, inside)
    if tank and len(inside) <= 6:
        yield made(text, "retire", inside, {}, tank)


def _new_instrument(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = clause(text, hit.start)
    yield made(text, "instrument", inside, {"instrument": text.typed(hit.start + 1, inside.stop), "state": "new"})


def _emergency(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = line(text, hit.start)
    if any(text.tokens[i].is_number for i in range(hit.stop, inside.stop)):
        yield made(
            text,
            "emergency",
            inside,
            {"name": text.typed(hit.start, hit.stop), "text": as_said(text, range(hit.stop, inside.stop))},
        )


_LINES: Mapping[str, Callable[[Text, Hit], Iterator[Claim]]] = {
    "tank": new_lines.tank,
    "client": new_lines.client,
    "vat": new_lines.vat,
    "quiet_hours": _quiet_hours,
    "units": _units,
    "copy": _copy,
    "retire": _retire,
    "instrument": _new_instrument,
    "emergency": _emergency,
}


def _person(text: Text) -> Iterator[Claim]:
    """ "add kofi learner", "new technician sam"."""
    for role in text.hits(TABLE, "role"):
        inside = clause(text, role.start)
        opened = word(text, inside.start) in ("add", "new", "invite") and len(inside) <= 6
        free = [
            i
            for i in inside
            if i not in role.span
            and i != inside.start
            and text.tokens[i].is_word
            and word(text, i) not in ("as", "a", "the", "is", "to", "team")
        ]
        if opened and len(free) == 1:
            yield made(text, "person", inside, {"name": text.typed(free[0], free[0] + 1), "role": role.meaning})


def _removed(text: Text) -> Iterator[Claim]:
    """ "remove kofi": someone of the team."""
    people = {person.lower(): person for person in text.situation.people}
    for hit in text.hits(TABLE, "new"):
        inside = clause(text, hit.start)
        person = people.get(word(text, hit.stop)) or people.get(word(text, hit.start - 1))
        if hit.meaning == "remove" and person and len(inside) <= 6:
            yield made(text, "person", inside, {"name": person, "removed": True})


def _range(text: Text) -> Iterator[Claim]:
    """ "quillow alk 7.5 to 9, no more than 0.5 a day", "limits harrowfell temp 24-26"."""
    ranges = [h for h in text.hits(TABLE, "new") if h.meaning == "range"]
    if not ranges and not {"day", "daily"} & {token.text for token in text.tokens}:
        return
    for pair in pairs_in(text):
        inside = line(text, min(pair.used))
        most, most_used = _most_a_day(text, inside)
        opened = any(h.meaning == "range" and h.start in inside for h in text.hits(TABLE, "new"))
        bounds = _bounds(text, min(pair.used), inside)
        if bounds and (opened or most is not None):
            low, high, stop = bounds
            tank, _ = tank_in(text, inside)
            values = {
                "parameter": pair.parameter,
                "low": low,
                "high": high,
                "unit": pair.value.unit,
                "most_per_day": most,
            }
            yield made(text, "range", range(inside.start, max([stop, *(i + 1 for i in most_used)])), values, tank)
            return


def _bounds(text: Text, start: int, inside: range) -> tuple[float, float, int] | None:
    """Two numbers joined by "to", "-", "and"; the second ends before the token returned."""
    measures = [m for m in text.measures if m.start >= start and m.start in inside]
    if measures and measures[0].number.low is not None and measures[0].number.high is not None:
        return measures[0].number.low, measures[0].number.high, measures[0].stop
    for first, second in pairwise(measures):
        between = words(text, first.stop, second.start)
        if between in (["to"], ["-"], ["and"]) and first.number.value < second.number.value:
            return first.number.value, second.number.value, second.stop
    return None


def _one_bound(text: Text) -> Iterator[Claim]:
    """ "limit no3 15 for quillow" is the most, "limit alk at least 7" the least; there is no other number."""
    for hit in text.hits(TABLE, "new"):
        inside = clause(text, hit.start)
        measures = [m for m in text.measures if m.start in inside and m.start not in places(text.mentions)]
        names = [n for n in text.parameters if n.start in inside and not n.letter]
        if hit.meaning != "range" or len(measures) != 1 or len(names) != 1 or not _sets(text, hit, names[0]):
            continue
        pair = pair_of(text, names[0], measures[0], names[0].span | measures[0].span)
        if pair and pair.value.why is None:
            least = bool(_LEAST & set(words(text, inside.start, inside.stop)))
            values = {
                "parameter": pair.parameter,
                "low" if least else "high": pair.value.value,
                "unit": pair.value.unit,
            }
            tank, _ = tank_in(text, inside)
            yield made(text, "range", inside, values, tank)


def _sets(text: Text, hit: Hit, name: Name) -> bool:
    """Nothing stands before the word but an order to set it, the test, the tank."""
    start = clause(text, hit.start).start
    told = name.span | places(text.mentions)
    return all(i in told or word(text, i) in POLITE | _SETTING for i in range(start, hit.start))


_SETTING = around("settings", "setting")
_LEAST = around("settings", "least")


def _most_a_day(text: Text, inside: range) -> tuple[float | None, frozenset[int]]:
    """ "no more than 0.5 a day", "max 0.5 per day"."""
    for measure in text.measures:
        after = words(text, measure.stop, measure.stop + 2)
        lead = words(text, measure.start - 3, measure.start + 2)
        per_day = after in (["a", "day"], ["per", "day"]) or after[:1] == ["daily"] or after in (["/", "day"],)
        if (
            measure.start in inside
            and per_day
            and ({"more", "max", "most", "than"} & set(lead) or measure.number.below)
        ):
            return measure.number.value, frozenset(range(measure.start, measure.stop + 2))
    return None, frozenset()


def _volume(text: Text) -> Iterator[Claim]:
    """ "quillow is 110 gal", "den holds 90 gallons": nothing else in the clause."""
    for mention in text.mentions:
        inside = clause(text, mention.start)
        verb = word(text, mention.stop)
        measure = text.measure_at(mention.stop + 1)
        whole = mention.start == inside.start and measure and measure.stop == inside.stop
        if (
            whole
            and measure
            and verb in ("is", "holds", "=", "has")
            and measure.unit("volume")
            and len(mention.options) == 1
        ):
            yield made(text, "volume", inside, {"volume": measure.quantity("volume")}, mention.options[0])


def _instrument(text: Text) -> Iterator[Claim]:
    """ "calibrated the refractometer"."""
    for hit in text.hits(TABLE, "instrument"):
        if hit.meaning != "calibrated":
            continue
        inside = clause(text, hit.start)
        things = [h for h in text.hits(TABLE, "instrument") if h.meaning == "thing" and h.start in inside]
        if things and word(text, hit.start) not in ("calibrate", "recalibrate"):
            span = range(min(hit.start, things[0].start), max(hit.stop, things[0].stop))
            values = {"instrument": text.typed(things[0].start, things[0].stop), "state": "calibrated"}
            yield made(text, "instrument", span, values)


def _nicknamed(text: Text) -> Iterator[Claim]:
    """ "nickname bar = brindlemoor", "call quillow the big one"."""
    for mention in text.mentions:
        inside = clause(text, mention.start)
        first = word(text, inside.start)
        if len(mention.options) != 1:
            continue
        if mention.start == inside.start and word(text, mention.stop) in ("nickname", "alias", "aka"):
            short = past_small(text, mention.stop + 1, inside.stop, ("is", "=", ":"))
            called = {"nickname": as_said(text, range(short, inside.stop))}
            yield made(text, "nickname", inside, called, mention.options[0])
        if mention.start == inside.start:
            continue
        if first in ("nickname", "alias", "nick") and mention.stop == inside.stop:
            end = mention.start - (word(text, mention.start - 1) in ("=", "for", "is", "means"))
            yield made(
                text, "nickname", inside, {"nickname": as_said(text, range(inside.start + 1, end))}, mention.options[0]
            )
        elif first == "call" and mention.start == inside.start + 1 and mention.stop < inside.stop:
            short = past_small(text, mention.stop, inside.stop, ("the", "just", "it"))
            yield made(
                text, "nickname", inside, {"nickname": as_said(text, range(short, inside.stop))}, mention.options[0]
            )
