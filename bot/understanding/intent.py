"""Whether what a clause tells was done at all: not where it is denied, only intended, or asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bot.items import Batch, Control, Event, Item, Stock, Wait
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, word
from bot.understanding.lexicon import lexicon
from bot.understanding.running import people_in
from bot.understanding.text import Text

TABLE = "words_intent"


def done_only(text: Text, claims: Iterable[Claim]) -> Iterator[Claim]:
    """The claims on what was done; a deed that is denied ("no wc today") becomes a note, one that is intended or asked
    ("gonna do a wc", "fed?") none."""
    told = list(claims)
    ahead = {i for c in told if _is_ahead(text, c) for i in c.used}
    for claim in told:
        if not any(_is_deed(item) for item in claim.items):
            yield claim
        elif (denied := _before(text, claim, "denied")) is not None:
            yield from _as_note(text, claim, denied)
        elif _is_ahead(text, claim):
            yield from _as_intended(text, claim)
        elif not claim.used <= ahead and not _asked(text, claim):
            yield claim


def _is_ahead(text: Text, claim: Claim) -> bool:
    """Whether it is only meant to be done; "had to dose" was done."""
    deed = any(_is_deed(item) for item in claim.items)
    return deed and _before(text, claim, "intended") is not None and _before(text, claim, "after_all") is None


def _as_intended(text: Text, claim: Claim) -> Iterator[Claim]:
    """A dose that is about to be given: whether it was given today already is to be said before it is poured."""
    item, start = claim.items[0], _before(text, claim, "intended")
    if len(claim.items) == 1 and isinstance(item, Event) and item.event == "dose" and item.amount and start is not None:
        used = frozenset(range(start, max(claim.used) + 1))
        yield Claim((Control("intends", subject=item.subject),), used, weigh(text.tokens, used, 1.0))


def _is_deed(item: Item) -> bool:
    if isinstance(item, Stock):
        return item.action != "asked"
    return isinstance(item, Wait | Batch) or (isinstance(item, Event) and item.event != "note")


def _before(text: Text, claim: Claim, group: str) -> int | None:
    """Where a word of the group stands before the claim, with nothing but helping words between."""
    place, start = min(claim.used), clause(text, min(claim.used)).start
    helping = lexicon(TABLE, "helping").words()
    while place > start:
        for opening in range(max(start, place - 3), place):
            if any(hit.stop == place for hit in lexicon(TABLE, group).at(text.tokens, opening)):
                return opening
        if word(text, place - 1) not in helping:
            return None
        place -= 1
    return None


def _as_note(text: Text, claim: Claim, start: int) -> Iterator[Claim]:
    if isinstance(claim.items[0], Event):
        used = frozenset(range(start, max(claim.used) + 1))
        note = Event("note", subject=text.typed(start, max(claim.used) + 1))
        yield Claim((note,), used, weigh(text.tokens, used, 1.0))


def _asked(text: Text, claim: Claim) -> bool:
    inside = clause(text, min(claim.used))
    if word(text, inside.start) in _DELETING:
        return True
    asks = lexicon(TABLE, "asking").at(text.tokens, inside.start) or _asks_of_somebody(text, inside)
    return bool(asks) or (word(text, inside.stop) == "?" and isinstance(claim.items[0], Event | Wait))


def _asks_of_somebody(text: Text, inside: range) -> bool:
    """ "did ravi dose alk", "has odile fed the den": a verb of asking before a person's name."""
    return word(text, inside.start) in _VERBS and any(place == inside.start + 1 for _, place in people_in(text))


_DELETING = ("delete", "scratch", "erase", "void", "cancel")
"""At the head of a clause these take an entry back, and tell none."""

_VERBS = ("did", "has", "is", "was", "does", "can", "could", "will", "should")
