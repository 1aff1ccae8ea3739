"""Answers to a gate, a ping or an open question: "no smell, strip clear", "i'm on it", "yes", "ok".

`answers` holds keys of facts/words_controls.toml, groups [answer], [asked] and [bare]: a closed list. What can only be
an answer is one always; "nothing" or "yes" only where something was asked (`Situation.asked`); "ok" and "thx" say
nothing where nothing was.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from bot.items import Control
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, is_stop, phrase, word
from bot.understanding.controls import fills, with_polite
from bot.understanding.lexicon import Hit, around
from bot.understanding.text import Text

_PARTS = around("answers", "parts")
_SHORT = {"y": "yes", "n": "no"}


def claims(text: Text) -> Iterator[Claim]:
    """Every answer in the message; those that stand together are one."""
    longest_last = sorted(_hits(text), key=lambda hit: hit.stop)
    hits = sorted({hit.start: hit for hit in longest_last}.values(), key=lambda hit: hit.start)
    for group in _together(text, hits):
        stretch = range(group[0].start, group[-1].stop)
        used = frozenset(stretch) | with_polite(text, group[-1], _filled(text, group[-1]))
        answers = tuple(dict.fromkeys(hit.meaning for hit in group))
        yield Claim((Control("answer", answers=answers),), used, weigh(text.tokens, used, 1.35))
    yield from _bare(text)


def _hits(text: Text) -> Iterator[Hit]:
    asked = bool(text.situation.asked)
    for hit in text.hits("words_controls", "answer"):
        if _stands(text, hit, asked):
            yield hit
    if asked:
        for hit in text.hits("words_controls", "asked"):
            if fills(text, hit, clause(text, hit.start)) or fills(text, hit, phrase(text, hit.start)):
                yield hit


def _stands(text: Text, hit: Hit, asked: bool) -> bool:
    """An answer fills its clause; one about smell, strip or flow may also stand beside what it is about."""
    if fills(text, hit, clause(text, hit.start)) or fills(text, hit, phrase(text, hit.start)):
        return True
    return hit.meaning in _SPOKEN_OF and (hit.stop - hit.start > 1 or asked)


_SPOKEN_OF = around("answers", "spoken_of")


def _filled(text: Text, hit: Hit) -> range:
    inside = clause(text, hit.start)
    if fills(text, hit, inside):
        return inside
    behind = hit.stop
    while behind < inside.stop and word(text, behind) in (
        "on",
        "the",
        "nets",
        "net",
        "it",
        "them",
        "buckets",
        "bucket",
        "arch",
        "hose",
        "now",
        "here",
        "at",
    ):
        behind += 1
    return range(hit.start, behind)


def _together(text: Text, hits: list[Hit]) -> list[list[Hit]]:
    groups: list[list[Hit]] = [[hit] for hit in hits[:1]]
    for before, hit in pairwise(hits):
        between = range(before.stop, hit.start)
        near = all(
            word(text, i) in _PARTS or (is_stop(text.tokens[i]) and word(text, i) == ",") or not text.tokens[i].is_word
            for i in between
        )
        if near and hit.start >= before.stop:
            groups[-1].append(hit)
        else:
            groups.append([hit])
    return groups


def _bare(text: Text) -> Iterator[Claim]:
    """ "yes", "no", "ok", a thumb: the whole message; without a question they are heard and say nothing."""
    whole = range(len(text.tokens))
    for hit in text.hits("words_controls", "bare"):
        if not fills(text, hit, whole):
            continue
        if text.situation.asked:
            used = frozenset(whole)
            yield Claim((Control("answer", answers=(hit.meaning,)),), used, weigh(text.tokens, used, 1.2))
        else:
            yield Claim((), hit.span, weigh(text.tokens, hit.span, 1.2))
        return
