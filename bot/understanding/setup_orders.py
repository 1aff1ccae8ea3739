"""A veterinarian's instruction, filed in words: "vet order qt-1: copper 0.18 mg/L, 21 days, dr vasko, 2 tangs".

A Setting `order` of the tank that is named, with `by`, `name` (the veterinarian's), `treatment`, `form`, `target`,
`days`, `minutes` (of a bath), `strength` (what a mL of the product holds), `animals` and the `text` as typed; and a
Setting `course` with `state` ended where a treatment is said to be over.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from bot.items import Quantity, Setting
from bot.understanding.animals import animals_in
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, line, past_small, word, words
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit
from bot.understanding.text import Text

TABLE = "words_setup"
_SURE = 1.7
_DAY_MIN = 1440.0
_OVER = frozenset(
    ("done", "finished", "over", "ended", "end", "closed", "complete", "completed", "stop", "stopped", "finish")
)


def claims(text: Text) -> Iterator[Claim]:
    """Each line that files an instruction, and each that ends a course."""
    for hit in text.hits(TABLE, "new"):
        if hit.meaning == "order" and _opens(text, hit):
            yield _order(text, hit)
    yield from _course_over(text)


def _opens(text: Text, hit: Hit) -> bool:
    inside = line(text, hit.start)
    return past_small(text, inside.start, hit.start + 1, POLITE) == hit.start


def _order(text: Text, hit: Hit) -> Claim:
    inside = line(text, hit.start)
    tank, _ = tank_in(text, inside)
    values: dict[str, Any] = {
        "by": "veterinarian",
        "name": _name(text, inside),
        "treatment": _treatment(text, inside),
        "form": next((h.meaning for h in text.hits(TABLE, "form") if h.start in inside), None),
        **_amounts(text, inside),
        "days": _length(text, inside, ("day", "week")),
        "minutes": _length(text, inside, ("min", "h")),
        "animals": _animals(text, hit, inside),
        "text": text.typed(inside.start, inside.stop),
    }
    used = frozenset(inside)
    told = {key: value for key, value in values.items() if value is not None}
    return Claim((Setting("order", tank, told),), used, weigh(text.tokens, used, _SURE))


def _amounts(text: Text, inside: range) -> dict[str, Quantity]:
    """The first concentration is the target; one of a product ("10 mg/mL", "strength 10 mg/mL") its strength."""
    found: dict[str, Quantity] = {}
    for measure in (m for m in text.measures if m.start in inside):
        per_mL = words(text, measure.stop, measure.stop + 2) in (["/", "ml"], ["per", "ml"])
        mass = measure.quantity("mass")
        if mass and per_mL:
            found.setdefault("strength", Quantity(_mg(mass), "mg/mL"))
        elif quantity := measure.quantity("concentration"):
            found.setdefault("target", quantity)
    return found


def _mg(mass: Quantity) -> float:
    return mass.value * {"mg": 1.0, "g": 1000.0}.get(mass.unit, 1.0)


def _length(text: Text, inside: range, units: tuple[str, ...]) -> float | None:
    found = next((d for d in text.durations if d.start in inside and d.unit in units), None)
    return found.minutes / (_DAY_MIN if "day" in units else 1.0) if found else None


def _treatment(text: Text, inside: range) -> str | None:
    """A medication by its words, else a product."""
    for table, group in (("medicines", "words"), ("words_events", "thing")):
        for hit in text.hits(table, group):
            known = hit.meaning != "medicine" if table == "medicines" else hit.meaning == "dose"
            if hit.start in inside and known:
                return hit.meaning if table == "medicines" else text.typed(hit.start, hit.stop)
    return None


def _name(text: Text, inside: range) -> str | None:
    """The veterinarian's: the words behind "dr" up to a comma."""
    for place in inside:
        if word(text, place) in ("dr", "doctor"):
            start = place + 1 + (word(text, place + 1) == ".")
            stop = next((i for i in range(start, inside.stop) if not text.tokens[i].is_word), inside.stop)
            return f"Dr. {text.typed(start, min(stop, start + 3)).title()}" if stop > start else None
    return None


def _animals(text: Text, hit: Hit, inside: range) -> str | None:
    found = [a for a in animals_in(text) if a.start in inside and a.start >= hit.stop]
    named = {i for m in text.mentions for i in m.span}
    clear = [a for a in found if not a.span & named]
    return ", ".join(text.typed(a.start, a.stop) for a in clear) or None


def _course_over(text: Text) -> Iterator[Claim]:
    """ "copper course finished at qt-1", "treatment done qt-1": a course or a medication, and that it is over."""
    for place in [i for i, token in enumerate(text.tokens) if token.text in ("course", "treatment")]:
        inside = clause(text, place)
        told = set(words(text, inside.start, inside.stop))
        medicine = next((h for h in text.hits("medicines", "words") if h.start in inside), None)
        named = {i for m in text.mentions for i in m.span} | (set(medicine.span) if medicine else set())
        free = _OVER | POLITE | {"the", "a", "of", "course", "treatment", "at", "in", "has", "vet", "'s", "first"}
        if told & _OVER and all(i in named or word(text, i) in free or not text.tokens[i].is_word for i in inside):
            values: dict[str, Any] = {"state": "ended"}
            values |= {"treatment": medicine.meaning} if medicine and medicine.meaning != "medicine" else {}
            used = frozenset(inside)
            yield Claim((Setting("course", tank_in(text, inside)[0], values),), used, weigh(text.tokens, used, _SURE))
