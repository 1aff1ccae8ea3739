"""The last entry belongs to another tank: "wrong tank, that was den", "that was for frag, not the bar"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Correction
from bot.understanding.claims import Claim, weigh
from bot.understanding.lexicon import lexicon
from bot.understanding.parameters import TABLE
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """ "wrong tank, that was den", "that was for frag"; "those were at the bar not the den"."""
    words = lexicon(TABLE, "wrong_tank")
    for mention in text.mentions:
        if mention.vat or len(mention.options) > 1:
            continue
        opener = _opener(text, mention.start)
        if opener is None or (mention.stop < len(text.tokens) and not _ends(text, mention.stop)):
            continue
        used = frozenset(range(opener, mention.stop)) | _denied_tank(text, mention.stop) | _too(text, mention.stop)
        yield _claim(text, Correction(to_tank=mention.options[0]), used, 1.3)
    for hit in words.find(text.tokens):
        if hit.meaning == "wrong":
            yield _claim(text, Correction(), hit.span, 0.9)


def _opener(text: Text, start: int) -> int | None:
    """Where the words begin that hand the last entry to the tank named at `start`; they open the message."""
    place = start
    for _ in range(3):
        hits = [
            h
            for p in range(place)
            for h in lexicon(TABLE, "wrong_tank").at(text.tokens, p)
            if _joins(text, h.stop, place)
        ]
        if not hits:
            break
        place = hits[0].start
    told = any(
        h.meaning == "wrong" or h.stop - h.start > 1 for h in lexicon(TABLE, "wrong_tank").at(text.tokens, place)
    )
    lead = {token.text for token in text.tokens[:place] if token.is_word}
    return place if place < start and told and lead <= {"sorry", "oops", "no", "wait", "actually", "hey"} else None


def _joins(text: Text, stop: int, place: int) -> bool:
    return stop <= place and all(
        t.text in (",", ".", "-", "the", "at", "for", ";", ":", "!") for t in text.tokens[stop:place]
    )


def _ends(text: Text, place: int) -> bool:
    return text.tokens[place].text in (".", "!", ",", "\n", "not", ")", "too", "also", "as")


def _denied_tank(text: Text, stop: int) -> frozenset[int]:
    """ "not the den" behind it."""
    denied = next((m for m in text.mentions if stop < m.start <= stop + 2 and text.tokens[stop].text == "not"), None)
    return frozenset(range(stop, denied.stop)) if denied else frozenset()


def _too(text: Text, stop: int) -> frozenset[int]:
    """ "as well", "too" at the end."""
    rest = [t.text for t in text.tokens[stop:] if t.is_word]
    return frozenset(range(stop, stop + len(rest))) if rest in (["too"], ["also"], ["as", "well"]) else frozenset()


def _claim(text: Text, item: Correction, used: frozenset[int], plausible: float) -> Claim:
    return Claim((item,), used, weigh(text.tokens, used, plausible))
