"""Waits started in words: "nets in bleach 20 min", "floating 2 clowns", "drip since 10:40", "rest 24h".

A wait's kind may be told by itself ("floating") or only together with a length ("mix 24h"): see facts/words_waits.toml.
The length is what stands in the clause; a bare number at its end is minutes. Of a dip no length is ever assumed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.facts.load import table
from bot.items import Clarify, Item, Wait
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, word, words
from bot.understanding.lasting import Lasting, bare_minutes, lasting_in
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text
from bot.understanding.units import Measure
from bot.understanding.waits_kinds import PUT, Kind, bare_length, kinds_in, reach_of, together
from bot.understanding.waits_subject import small_around, subject_of

_ASKING = around("waits", "asking")
_DENYING = around("waits", "denying")
_ENDED = around("waits", "ended")
_NOT_MINUTES = ("mix_rest", "quarantine")


def claims(text: Text) -> Iterator[Claim]:
    """Every word for a wait, with its length, beginning, amount and what waits."""
    kinds = kinds_in(text)
    for group in together(text, kinds):
        begun = [kind for i, kind in enumerate(group) if not any(_is_over(text, each.stop) for each in group[i:])]
        yield from _wait(text, begun, kinds) if begun else ()


def _wait(text: Text, group: Sequence[Kind], kinds: Sequence[Kind]) -> Iterator[Claim]:
    hit = Hit(group[0].start, group[-1].stop, group[0].wait)
    inside = reach_of(text, hit, kinds)
    if _asked(text, inside) or _denied(text, hit):
        return
    last = lasting_in(text, inside) or bare_minutes(text, hit.stop, inside) or _bare_behind_subject(text, hit, inside)
    last = last or _bare_at_the_end(text, hit, inside)
    if last or any(kind.sure for kind in group):
        span = frozenset(i for kind in group for i in range(kind.start, kind.stop))
        yield _claim(text, hit, span, inside, last)


def _asked(text: Text, inside: range) -> bool:
    said = words(text, inside.start, inside.stop)
    return bool(_ASKING & set(said[:1])) or word(text, inside.stop) == "?" or "how" in said


def _denied(text: Text, hit: Hit) -> bool:
    """ "out of bleach", "before the dip", "the bleach soak is done": nothing begins."""
    rinse_water = hit.meaning == "rinse_soak" and word(text, hit.stop) == "water"
    said = word(text, hit.start - 1)
    another = said in _ENDED and any(h.stop == hit.start - 1 for h in text.hits("words_controls", "wait_name"))
    return rinse_water or (said in _DENYING and not another)  # "float done dripping now"


def _is_over(text: Text, stop: int) -> bool:
    small = ("is", "are", "the", "now", "all", "been", "has")
    after = next((i for i in range(stop, len(text.tokens)) if word(text, i) not in small), -1)
    return word(text, after) in _ENDED


def _bare_behind_subject(text: Text, hit: Hit, inside: range) -> Lasting | None:
    """ "float bag 15": the number ends the clause, and only the thing that waits stands between."""
    last = next((m for m in text.measures if m.stop == inside.stop and m.start > hit.stop), None)
    between = words(text, hit.stop, last.start) if last else []
    led = between[-1:] == ["for"] and len(between) <= 5
    things = [each for each in between if each not in PUT and not (each.isdigit() and each != between[-1])]
    short = (len(things) <= 2 or led) and all(each.isalpha() for each in things)
    measured = last and any(hit.stop <= name.start < last.start for name in text.parameters)
    return bare_minutes(text, last.start, inside) if last and between and short and not measured else None


def _bare_at_the_end(text: Text, hit: Hit, inside: range) -> Lasting | None:
    """ "thio 200 ml in 20 l, nets in for 15": what was put in a bath that was told before."""
    length = bare_length(text, inside)
    beyond = len(length) and length.start > clause(text, hit.start).stop
    return bare_minutes(text, length.start, inside) if beyond else None


def _claim(text: Text, hit: Hit, span: frozenset[int], inside: range, last: Lasting | None) -> Claim:
    used = span | (last.used if last else frozenset())
    amount = _amount(text, inside, used)
    used |= frozenset(i for water in _waters(text, inside, used) for i in water.span)
    named = subject_of(text, hit, inside, used)
    used |= frozenset(named)
    used |= small_around(text, inside, used)
    subject = text.typed(named.start, named.stop) if named else None
    item = _filled(Wait(hit.meaning, subject=subject, step=_step(text, hit)), last, amount)
    return Claim((item,), used, weigh(text.tokens, used, 1.1 if last or len(hit.span) > 1 else 0.8))


def _amount(text: Text, inside: range, used: frozenset[int]) -> Measure | None:
    """The litres or gallons that something lies in."""
    waters = _waters(text, inside, used)
    return next((m for m in waters if _is_plenty(m)), waters[0] if waters else None)


def _waters(text: Text, inside: range, used: frozenset[int]) -> list[Measure]:
    found = (m for m in text.measures if m.start in inside and m.stop <= inside.stop and not m.span & used)
    return [m for m in found if m.unit("volume") and not m.unit("temperature")]


def _is_plenty(measure: Measure) -> bool:
    """The water of "40 ml in 10 l", not what was put into it."""
    unit = measure.unit("volume")
    return unit is not None and unit.name in ("gal", "L", "m3")


def _filled(wait: Wait, last: Lasting | None, amount: Measure | None) -> Item:
    quantity = amount.quantity("volume") if amount else None
    if quantity:
        wait = replace(wait, amount=quantity.value, unit=quantity.unit)
    if last is None:
        return wait
    wait = replace(wait, started=last.started)
    if last.bare is not None and wait.wait in _NOT_MINUTES:
        return Clarify("which_unit", f"{last.bare:g}", value=last.bare, options=("min", "h", "day"), about=wait)
    return replace(wait, minutes=_possible(wait.wait, last.minutes if last.bare is None else last.bare))


def _possible(kind: str, minutes: float | None) -> float | None:
    """A length that the kind can have; a dip longer than any bath has none, and is asked about."""
    longest = table("words_waits")["longest"].get(kind)
    good = minutes is not None and minutes > 0 and (longest is None or minutes <= longest)
    return minutes if good else None


def _step(text: Text, hit: Hit) -> str | None:
    """The step of the rinsing course; a plain rinse is not said."""
    if hit.meaning != "rinse_soak":
        return None
    steps = lexicon("words_waits", "step")
    found = {h.meaning for place in range(hit.start, hit.stop) for h in steps.at(text.tokens, place)}
    return next((step for step in ("neutralise", "dry", "acid") if step in found), None)
