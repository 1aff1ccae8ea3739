"""Tools with a number that touched a tank: "used net 3 at oak", "net 3 in oak", "moved 2 gobies ... with net 3"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Event
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import word
from bot.understanding.lexicon import around
from bot.understanding.text import Text


def claims(text: Text) -> Iterator[Claim]:
    """A note of each tool that is said to be used somewhere; what soaks or is asked about is none."""
    kinds, used_words = around("tools", "kinds"), around("tools", "used")
    for place, token in enumerate(text.tokens[:-1]):
        number = text.tokens[place + 1]
        if token.text not in kinds or not number.is_number:
            continue
        start = place - 1 if word(text, place - 1) in ("the", "our", "my") else place
        before, behind = word(text, start - 1), word(text, place + 2)
        if before in used_words or behind in used_words or (behind in ("in", "at") and _tank(text, place + 3)):
            first = start - 1 if before in used_words else start
            stop = place + 3 if behind in used_words else place + 2
            note = Event("note", tank=_last_of_several(text, place), subject=text.typed(place, place + 2))
            for used in {frozenset(range(first, stop)), frozenset(range(place, place + 2))}:
                yield Claim((note,), used, weigh(text.tokens, used, 0.8))


def _last_of_several(text: Text, place: int) -> str | None:
    """ "from oak to den with net 3": the tank that was named last before the tool."""
    named = [m for m in text.mentions if m.stop <= place and not m.vat and len(m.options) == 1]
    return named[-1].options[0] if len(named) > 1 else None


def _tank(text: Text, place: int) -> bool:
    return any(mention.start <= place < mention.stop and not mention.vat for mention in text.mentions)
