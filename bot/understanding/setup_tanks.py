"""A tank on file, in words: its panel, animals, invertebrates, instrument, kind, net volume; copied, renamed, closed.

Each is a Setting of the tank that is named; `values` by `subject`:
    panel      panel (parameters in their order)    hydrometer     reference ("60F/60F", "glass" ...)
    animals    animals ({name, count} each)         invertebrates  present
    kind       kind                                 volume         volume, known
    copy       from                                 rename         name
    retire     nothing                              owner          name (of the client)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from bot.items import Quantity, Setting
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, line, past_small, word, words
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, lexicon, phrases
from bot.understanding.names import Mention
from bot.understanding.text import Text

TABLE = "words_setup"
_SURE = 1.7
_SMALL = frozenset(
    phrases("the, a, an, at, in, of, for, has, have, is, are, on, with, its, to, there, no, not, our")
) | {*":=-,"}


def claims(text: Text) -> Iterator[Claim]:
    """Every line that says how a tank is set up."""
    for hit in text.hits(TABLE, "of_tank"):
        yield from _SAYS[hit.meaning](text, hit)
    yield from _copied(text)
    yield from _renamed(text)
    yield from _closed(text)
    yield from _kind(text)


def _made(text: Text, subject: str, stretch: range, values: Mapping[str, Any], tank: str | None) -> Iterator[Claim]:
    used = frozenset(stretch)
    yield Claim((Setting(subject, tank, values),), used, weigh(text.tokens, used, _SURE))


def _only(text: Text, inside: range, *known: Iterable[int], small: frozenset[str] = _SMALL) -> bool:
    """Whether nothing stands in the stretch beside what is known, names of tanks and small words."""
    taken = {i for each in known for i in each} | {i for m in text.mentions for i in m.span}
    return all(i in taken or word(text, i) in small | POLITE or not text.tokens[i].is_word for i in inside)


def _panel(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quillow panel temp, ph, sg, alk, no3", "panel brindlemoor: temp ph sg no3"."""
    inside = line(text, hit.start)
    names = [n for n in text.parameters if n.start >= hit.stop and n.start in inside]
    if names and not any(text.tokens[i].is_number for i in inside if not _is_name(text, i)):
        panel = tuple(dict.fromkeys(name.parameter for name in names))
        spans = (range(n.start, n.stop) for n in names)
        if _only(text, inside, hit.span, *spans, small=_SMALL | {"and", "/", "then"}):
            yield from _made(text, "panel", inside, {"panel": panel}, tank_in(text, inside)[0])


def _is_name(text: Text, place: int) -> bool:
    """A number that belongs to a name: of a tank, or of what is measured (no3)."""
    in_tank = any(m.start <= place < m.stop for m in text.mentions)
    return in_tank or any(n.start <= place < n.stop for n in text.parameters)


def _animals(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quillow animals: 2 clownfish, 5 cardinals", "animals brindlemoor 3 tangs and a moray"."""
    inside = line(text, hit.start)
    start = past_small(text, hit.stop, inside.stop, (":", "=", "-", "at", "in", "of", "for", "are"))
    found = [each for part in _parts(text, start, inside.stop) if (each := _animal(text, part))]
    if found and hit.start <= inside.start + 4:
        yield from _made(text, "animals", inside, {"animals": tuple(found)}, tank_in(text, inside)[0])


def _parts(text: Text, start: int, stop: int) -> list[range]:
    """Stretches between commas and "and"s."""
    ends = [i for i in range(start, stop) if word(text, i) in (",", "and", "&", "+", "plus", ";")]
    edges = [start - 1, *ends, stop]
    return [range(a + 1, b) for a, b in pairwise(edges) if b > a + 1]


def _animal(text: Text, part: range) -> dict[str, Any] | None:
    """ "5 cardinals", "a moray", "cleaner shrimp x3"."""
    numbers = [n for n in text.numbers if n.start in part and n.value.is_integer()]
    taken = {i for n in numbers for i in range(n.start, n.stop)} | {
        i for i in part if word(text, i) in ("x", "a", "an")
    }
    rest = [i for i in part if i not in taken]
    if not rest:
        return None
    count = int(numbers[0].value) if numbers else 1
    return {"name": text.typed(rest[0], rest[-1] + 1).strip(" .:"), "count": count}


def _invertebrates(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "no inverts in brindlemoor", "brindlemoor has invertebrates", "quillow invert free"."""
    inside = clause(text, hit.start)
    around = set(words(text, inside.start, inside.stop))
    tank, named = tank_in(text, inside)
    verb = {"has", "have", "no", "not", "without", "free", "zero", "none", "are", "there", "yes", "holds"}
    rest = [i for i in inside if i not in hit.span and i not in named]
    if tank and around & verb and all(word(text, i) in _SMALL | verb | {"any", "living"} for i in rest):
        absent = bool(around & {"no", "not", "without", "free", "zero", "none"})
        yield from _made(text, "invertebrates", inside, {"present": not absent}, tank)


def _hydrometer(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quillow hydrometer glass 60F", "brindlemoor uses a refractometer", "hydrometer qt-1: swing arm"."""
    inside = line(text, hit.start)
    tank, _ = tank_in(text, inside)
    hits = [h for h in text.hits(TABLE, "hydrometer") if h.start in inside]
    said = [h for h in hits if h.meaning != "glass"] or hits
    small = _SMALL | {"uses", "use", "used", "reads", "instrument", "f", "c", "arm"}
    ours = "our" in words(text, inside.start, inside.stop)
    if any(digits.startswith("1") and len(digits) > 3 for digits in words(text, inside.start, inside.stop)):
        return  # a reading: "refractometer 1.026"
    if hits and (tank or ours) and _only(text, inside, hit.span, *(h.span for h in hits), small=small):
        yield from _made(text, "hydrometer", inside, {"reference": said[0].meaning}, tank)


def _net(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quillow net volume 95 gal", "volume of brindlemoor 240 gal measured"."""
    inside = line(text, hit.start)
    tank, _ = tank_in(text, inside)
    measure = next((m for m in text.measures if m.start in inside and m.unit("volume")), None)
    known = [h for h in text.hits(TABLE, "volume_known") if h.start in inside]
    if tank and measure and _only(text, inside, hit.span, measure.span, *(h.span for h in known)):
        said: dict[str, Quantity | str | None] = {"volume": measure.quantity("volume")}
        yield from _made(text, "volume", inside, said | ({"known": known[0].meaning} if known else {}), tank)


def _client(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "quillow belongs to quillow dental"."""
    inside = line(text, hit.start)
    tank = _mention_before(text, inside, hit.start)
    name = text.typed(hit.stop, inside.stop).strip(" .:")
    if tank and name and hit.stop < inside.stop:
        yield from _made(text, "owner", inside, {"name": name}, tank.options[0])


_SAYS: Mapping[str, Callable[[Text, Hit], Iterator[Claim]]] = {
    "panel": _panel,
    "animals": _animals,
    "invertebrates": _invertebrates,
    "hydrometer": _hydrometer,
    "net": _net,
    "client": _client,
}


def _mention_before(text: Text, inside: range, stop: int) -> Mention | None:
    found = [m for m in text.mentions if m.start == inside.start and m.stop == stop and len(m.options) == 1]
    return found[0] if found else None


def _copied(text: Text) -> Iterator[Claim]:
    """ "copy brindlemoor to pellimore", "copy limits from brindlemoor to pellimore", "pellimore like brindlemoor"."""
    for place in [i for i, token in enumerate(text.tokens) if token.text in ("copy", "copied")]:
        inside = clause(text, place)
        found = [m for m in text.mentions if m.start in inside and not m.vat and len(m.options) == 1]
        free = _SMALL | {"copy", "limits", "settings", "ranges", "set", "up", "setup", "from", "to", "panel", "same"}
        if len(found) == 2 and place == inside.start and _only(text, inside, small=free):
            source, target = sorted(found, key=lambda m: _is_target(text, m))
            yield from _made(text, "copy", inside, {"from": source.options[0]}, target.options[0])


def _is_target(text: Text, mention: Mention) -> bool:
    return "to" in (word(text, mention.start), word(text, mention.start - 1)) or word(text, mention.start) == "for"


def _renamed(text: Text) -> Iterator[Claim]:
    """ "rename brindlemoor to brindlemoor lounge"."""
    for hit in text.hits(TABLE, "new"):
        inside = line(text, hit.start)
        tank = next((m for m in text.mentions if m.start == hit.stop and len(m.options) == 1), None)
        if hit.meaning == "rename" and tank and hit.start == inside.start:
            name = text.typed(past_small(text, tank.stop, inside.stop, ("to", "as", ":")), inside.stop)
            yield from _made(text, "rename", inside, {"name": name}, tank.options[0])


def _closed(text: Text) -> Iterator[Claim]:
    """ "remove brindlemoor", "delete the brindlemoor tank": a tank and nothing beside it."""
    for hit in text.hits(TABLE, "new"):
        inside = clause(text, hit.start)
        tank, _ = tank_in(text, inside)
        if hit.meaning == "remove" and hit.start == inside.start and tank and _only(text, inside, hit.span):
            yield from _made(text, "retire", inside, {}, tank)


def _kind(text: Text) -> Iterator[Claim]:
    """ "quillow is a reef", "brindlemoor kind: marine fish-only"."""
    for mention in text.mentions:
        inside = clause(text, mention.start)
        if mention.vat or len(mention.options) != 1 or mention.start != inside.start:
            continue
        place = past_small(text, mention.stop, inside.stop, ("is", "now", "a", "an", "kind", ":", "=", "type", "of"))
        told = words(text, mention.stop, place)
        hits = [h for h in lexicon(TABLE, "tank_kind").at(text.tokens, place) if h.stop == inside.stop]
        if hits and {"is", "kind", "type"} & set(told):
            yield from _made(text, "kind", inside, {"kind": hits[0].meaning}, mention.options[0])
