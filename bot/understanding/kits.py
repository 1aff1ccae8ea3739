"""Which kit a test was made with: "using no3 kit lot 27 exp 2026-06", "new alk kit lot 8A", "no3 12 lot 27".

A Setting `kit` with `parameter`, `lot` and, where it is said, `expiry` (an ISO date): of that person's tests from now.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bot.items import Setting
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import line, word
from bot.understanding.pairs import pairs_in
from bot.understanding.parameters import Name
from bot.understanding.stock import month_at
from bot.understanding.text import Text

TABLE = "words_setup"


def claims(text: Text) -> Iterator[Claim]:
    """A kit taken into use, and a lot that stands behind a test."""
    for place, token in enumerate(text.tokens):
        if token.text in ("lot", "lot#", "batch") and _lot(text, place):
            yield from _kit(text, place)
            yield from _behind(text, place)


def _lot(text: Text, place: int) -> str | None:
    """The token behind "lot", with what is glued to it: "27", "8A"."""
    start = place + 1 + (word(text, place + 1) in (":", "#", "no", "nr"))
    stop = start + 1
    while stop < len(text.tokens) and text.tokens[stop].glued and word(text, stop) not in (",", ".", ")"):
        stop += 1
    said = text.typed(start, stop) if start < len(text.tokens) else ""
    return said if any(c.isdigit() for c in said) else None


def _kit(text: Text, place: int) -> Iterator[Claim]:
    """ "using no3 kit lot 27 exp 2026-06": a test, the word kit, the lot."""
    inside = line(text, place)
    names = [n for n in text.parameters if n.start in inside and n.stop <= place and not n.letter]
    kits = [i for i in range(inside.start, place) if word(text, i) in ("kit", "kits", "reagent", "reagents", "test")]
    value = names and kits and any(text.tokens[i].is_number for i in range(names[-1].stop, kits[-1]))
    if (
        names
        and kits
        and not value
        and not any(h.meaning == "arrived" and h.start in inside for h in text.hits(TABLE, "stock"))
    ):
        stop, expiry = _expiry(text, place, inside)
        used = frozenset(range(_opening(text, names[-1], inside), stop))
        yield _claim(text, names[-1].parameter, place, expiry, used)


def _opening(text: Text, name: Name, inside: range) -> int:
    start = name.start
    while start > inside.start and word(text, start - 1) in _OPENERS:
        start -= 1
    return start


_OPENERS = frozenset(
    ("using", "new", "opened", "open", "started", "on", "now", "the", "a", "switched", "to", "my", "with")
)


def _expiry(text: Text, place: int, inside: range) -> tuple[int, str | None]:
    """Where the kit's words end, and the date of its expiry."""
    stop = place + 2 + (word(text, place + 1) in (":", "#", "no", "nr"))
    while stop < inside.stop and text.tokens[stop].glued:
        stop += 1
    for at in range(stop, min(stop + 3, inside.stop)):
        if word(text, at) in ("exp", "expires", "expiry", "expiring"):
            day, end = month_at(text, at + 1 + (word(text, at + 1) in (":", ".", "date", "in")))
            return (end, day.isoformat()) if day else (stop, None)
    return stop, None


def _behind(text: Text, place: int) -> Iterator[Claim]:
    """ "no3 12 lot 27", "no3 9 (kit lot 27)"."""
    near = (p for p in pairs_in(text) if p.value.why is None and 0 <= place - max(p.used) - 1 <= 2)
    before = sorted(near, key=lambda p: max(p.used))
    between = [word(text, i) for p in before[-1:] for i in range(max(p.used) + 1, place)]
    if before and all(w in ("(", "kit", "with", ",", "from") for w in between):
        stop, expiry = _expiry(text, place, line(text, place))
        used = frozenset(range(max(before[-1].used) + 1, stop + (word(text, stop) == ")")))
        yield _claim(text, before[-1].parameter, place, expiry, used)


def _claim(text: Text, parameter: str, place: int, expiry: str | None, used: frozenset[int]) -> Claim:
    values: dict[str, Any] = {"parameter": parameter, "lot": _lot(text, place)}
    values |= {"expiry": expiry} if expiry else {}
    return Claim((Setting("kit", None, values),), used, weigh(text.tokens, used, 1.6))
