"""A reading taken back for another in the same breath: "ph 8.2 sorry alk 8.2", "nitrate .2 i meant nitrite .2"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.understanding.claims import Claim, weigh
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.pair import Pair
from bot.understanding.pairs import pairs_in
from bot.understanding.parameters import TABLE
from bot.understanding.readings import as_item
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """ "ph 8.2 sorry alk 8.2", "nitrate .2 i meant nitrite .2", "ph 8.2 no wait ph 8.0": only the second counts."""
    pairs = [pair for pair in pairs_in(text) if pair.value.why is None and pair.value.unit]
    for hit in (*text.hits(TABLE, "take_back"), *lexicon("words_times", "mend").find(text.tokens)):
        first = [p for p in pairs if _joined(text, max(p.used) + 1, hit.start)]
        second = [p for p in pairs if _joined(text, hit.stop, min(p.used)) and p.named]
        for old in first:
            yield from (_retaken(text, old, new, hit) for new in second if _replaces(text, old, new, hit))


def _joined(text: Text, stop: int, start: int) -> bool:
    return stop <= start and all(
        t.text in (",", ".", "-", "its", "it's", "the", "that") for t in text.tokens[stop:start]
    )


def _replaces(text: Text, old: Pair, new: Pair, hit: Hit) -> bool:
    strong = any(h.stop >= hit.stop for h in lexicon(TABLE, "take_back_name").at(text.tokens, hit.start))
    return old.parameter == new.parameter or old.value.value == new.value.value or strong


def _retaken(text: Text, old: Pair, new: Pair, hit: Hit) -> Claim:
    used = old.used | hit.span | new.used | frozenset(range(min(old.used), max(new.used) + 1))
    return Claim((as_item(text, new),), used, weigh(text.tokens, used, 1.1), place=new.place)
