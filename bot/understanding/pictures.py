"""Orders for something to look at: "photos oak 3 march", "before after elm", "label oak", "net labels 6", "year page".

Actions: `photos` (`subject` pair for two beside each other, `number` of a photo), `picture` and `paper` with the
subject that facts/words_pictures.toml names; `reason` holds the rest of the words ("net 3", a client), `number` how
many.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Control
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, word
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.text import Text

TABLE = "words_pictures"
_GROUPS = {"photos": "photos", "picture": "picture", "paper": "paper"}
_NAMED = ("year", "contacts", "tools", "sign", "bleach")
"""What may name a thing or a client in words of its own."""


def claims(text: Text) -> Iterator[Claim]:
    """Each phrase that fills its clause."""
    for group, action in _GROUPS.items():
        for hit in text.hits(TABLE, group):
            inside = clause(text, hit.start)
            left = [i for i in inside if not _belongs(text, hit, i)]
            if not left or (hit.meaning in _NAMED and min(left) >= hit.stop):
                yield _claim(text, hit, action, inside, left)


def _belongs(text: Text, hit: Hit, place: int) -> bool:
    """Part of the phrase, a name, a day, a number or a small word."""
    little = lexicon(TABLE, "little").words() | POLITE
    named = any(place in m.span for m in text.mentions) or any(place in w.span for w in text.past)
    return place in hit.span or named or text.tokens[place].is_number or word(text, place) in little


def _claim(text: Text, hit: Hit, action: str, inside: range, left: list[int]) -> Claim:
    tank, named = tank_in(text, inside, hit.span)
    when = next((w for w in text.past if w.start in inside and not w.is_now), None)
    dated = when.span if when else frozenset()
    numbers = [n for n in text.numbers if n.start in inside and n.start not in dated and n.value.is_integer()]
    free = [n for n in numbers if not any(n.start in m.span for m in text.mentions)]
    subject = None if (action, hit.meaning) == ("photos", "photos") else hit.meaning
    control = Control(
        action, tank=tank, subject=subject, number=int(free[-1].value) if free else None,
        date=when.day if when else None, reason=_rest(text, hit, inside, named) if hit.meaning in _NAMED else None,
    )  # fmt: skip
    used = frozenset(inside)
    return Claim((control,), used, weigh(text.tokens, used, 1.6))


def _rest(text: Text, hit: Hit, inside: range, named: frozenset[int]) -> str | None:
    """The words behind the phrase up to a day; without the name of the tank, unless a client may be meant by it."""
    ends = [w.start for w in text.past if w.start in inside and w.start >= hit.stop]
    ends += [i for i in range(hit.stop, inside.stop) if word(text, i) == "since"]
    stop = min([inside.stop, *ends])
    left = [i for i in range(hit.stop, stop) if hit.meaning == "year" or i not in named]
    return text.typed(left[0], left[-1] + 1).strip(" :,?") or None if left else None
