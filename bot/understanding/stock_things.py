"""Supplies in a message, and how many of them: "2 boxes of strips", "salt 61 kg", "no3 kits 2", "a bag of carbon"."""

from __future__ import annotations

from collections.abc import Sequence

from bot.understanding.clauses import found_with_plurals, line, past_small, word
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text
from bot.understanding.units import Measure

TABLE = "words_setup"
LINK = around("stock", "link")
PACK = around("stock", "pack")
SINGLE = ("test", "tests")
_KITS = ("kit", "kits", "reagent", "reagents", *SINGLE)
_ONE = ("a", "an", "another", "one")


def things_in(text: Text) -> list[Hit]:
    """Every supply named; words that stand together are one ("floss rolls"); not the bag that something comes in."""
    joined: list[Hit] = []
    found = sorted((*found_with_plurals(text, TABLE, "thing"), *_kits(text)), key=lambda h: (h.start, -h.stop))
    packs = [h for h in found if word(text, h.start) in PACK and _holds(text, h, found)]
    for hit in (h for h in found if h not in packs):
        if joined and joined[-1].stop >= hit.start:
            joined[-1] = Hit(joined[-1].start, max(hit.stop, joined[-1].stop), hit.meaning)
        else:
            joined.append(hit)
    return joined


def _kits(text: Text) -> list[Hit]:
    """The kit of any test: "nitrite kit", "no3 tests"."""
    named = (n for n in text.parameters if word(text, n.stop) in _KITS and not n.letter)
    return [Hit(n.start, n.stop + 1 + (word(text, n.stop + 1) in _KITS), "thing") for n in named]


def _holds(text: Text, pack: Hit, found: Sequence[Hit]) -> bool:
    """ "3 boxes of strips", "salt arrived, 4 bags": the box holds the other thing."""
    behind = past_small(text, pack.stop, pack.stop + 2, ("of", "new"))
    others = [h for h in found if not h.span & pack.span and h.start in line(text, pack.start)]
    return any(h.start == behind for h in others) or (len(others) == 1 and not beside(text, others[0]))


def amount_of(text: Text, thing: Hit) -> Measure | None:
    """The number beside a thing, else that of its bags, or a weight, elsewhere in the line."""
    return beside(text, thing) or _elsewhere(text, thing)


def beside(text: Text, thing: Hit) -> Measure | None:
    """The number before a thing ("2 bags of salt"), or behind it ("strips 14")."""
    return _before(text, thing) or behind(text, thing)


def behind(text: Text, thing: Hit) -> Measure | None:
    """The number behind a thing: "strips 14", "salt: 61 kg"."""
    return text.measure_at(past_small(text, thing.stop, thing.stop + 2, (":", "=", "x")))


def _before(text: Text, thing: Hit) -> Measure | None:
    end = thing.start
    while word(text, end - 1) in LINK:
        end -= 1
    return next((m for m in text.measures if m.stop in (end, thing.start)), None)


def _elsewhere(text: Text, thing: Hit) -> Measure | None:
    """ "salt arrived, 4 bags", "salt delivered 80 kg"."""
    inside = line(text, thing.start)
    if sum(t.start in inside for t in things_in(text)) > 1:
        return None
    found = [m for m in text.measures if m.start in inside and (_is_packs(text, m) or m.unit("mass"))]
    return found[0] if len(found) == 1 else None


def _is_packs(text: Text, measure: Measure) -> bool:
    return not measure.units and word(text, measure.stop) in PACK


def one_pack(text: Text, thing: Hit) -> range | None:
    """ "a box of strips", "bucket of salt": where the box is named, up to the thing; None where it is not said so."""
    of = thing.start - (word(text, thing.start - 1) == "of")
    opens = of - 1 == line(text, thing.start).start and of < thing.start
    if word(text, of - 1) in PACK and (word(text, of - 2) in _ONE or opens):
        return range(of - 1, thing.start)
    return None


def pack_of(text: Text, thing: Hit, measure: Measure | None) -> str | None:
    """The box, bag or kit that is counted, None where single things are."""
    if measure is None:
        return None
    near = (*range(measure.stop, measure.stop + 1), *range(min(measure.stop, thing.start), thing.start))
    said = next((word(text, i) for i in near if word(text, i) in PACK), None)
    last = word(text, thing.stop - 1)
    if said or word(text, measure.stop) in SINGLE or last in SINGLE:
        return said or (word(text, measure.stop) if word(text, measure.stop) in SINGLE else last)
    return "kit" if last in ("kit", "kits") else None
