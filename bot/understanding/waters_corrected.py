"""A water change or top-off of an earlier message put right: "it was 30 gal not 20 gal wc", "the 25 gal wc was 15"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Correction
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import amount_at, amount_before, clause, past_small, word
from bot.understanding.lexicon import Hit
from bot.understanding.text import Text
from bot.understanding.units import Measure


def claims(text: Text) -> Iterator[Claim]:
    """Every head of a water change or top-off with two amounts, of which one is denied or replaced."""
    for hit in text.hits("words_events", "head"):
        pair = _denied(text, hit) or _replaced(text, hit) if hit.meaning in ("water_change", "top_off") else None
        if pair:
            yield _claim(text, hit, *pair)


def _denied(text: Text, hit: Hit) -> tuple[Measure, Measure] | None:
    """The right amount before "not", the old one behind it."""
    inside = clause(text, hit.start)
    place = next((i for i in inside if word(text, i) == "not"), None)
    if place is None:
        return None
    new = next((m for m in text.measures if m.stop == place and m.start in inside), None)
    old = amount_at(text, place + 1)
    return (new, old) if new and old else None


def _replaced(text: Text, hit: Hit) -> tuple[Measure, Measure] | None:
    """The old amount before the head, the right one behind "was" or "should be"."""
    inside = clause(text, hit.start)
    old = amount_before(text, hit.start, inside.start)
    if word(text, hit.stop) not in ("was", "is", "should", "shouldve") or old is None:
        return None
    place = past_small(
        text,
        hit.stop,
        inside.stop,
        ("was", "is", "should", "shouldve", "have", "been", "be", "actually", "only", "really"),
    )
    new = amount_at(text, place)
    return (new, old) if new else None


def _claim(text: Text, hit: Hit, new: Measure, old: Measure) -> Claim:
    quantity = new.quantity("share", "volume") or old.quantity("share", "volume")
    unit = quantity.unit if quantity else None
    used = frozenset(range(min(hit.start, new.start, old.start), max(hit.stop, new.stop, old.stop)))
    item = Correction(event=hit.meaning, value=new.number.value, unit=unit, old=old.number.value)
    return Claim((item,), used, weigh(text.tokens, used, 1.3))
