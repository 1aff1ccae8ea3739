"""What a team sets of its supplies, and asks of all of them: prices, packs, delivery, the yield of its salt, costs.

A Setting `supply` with `supply` (as typed) and what was said: `price` (of a pack), `pack` (a quantity), `lead_days`;
a Setting `salt_yield` with `yield`. A Stock with subject `cost` (the month of `due`) or `all`, and action `asked`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from bot.items import Quantity, Setting, Stock
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, is_named, sentence, word, words
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.stock_things import things_in
from bot.understanding.text import Text
from bot.understanding.units import Measure

TABLE = "words_supplies"
_PACK = around("stock", "pack")
_ASKING = around("supplies", "asking")
_SURE = 1.5


def claims(text: Text) -> Iterator[Claim]:
    """Everything that is set or asked of supplies as such."""
    yield from _yield(text)
    yield from _terms(text)
    yield from _costs(text)
    yield from _all(text)


def _yield(text: Text) -> Iterator[Claim]:
    """ "our salt takes 37.5 g/L"."""
    for measure in text.measures:
        inside = clause(text, measure.start)
        salt = hits_in(text, inside, TABLE, "yield", "salt")
        takes = hits_in(text, inside, TABLE, "yield", "takes")
        if not _is_per_litre(measure) or not salt or not takes or word(text, inside.stop) == "?":
            continue
        used = frozenset(range(inside.start, inside.stop))
        said = Quantity(measure.number.value, "g/L")
        yield Claim((Setting("salt_yield", None, {"yield": said}),), used, weigh(text.tokens, used, _SURE))


def _is_per_litre(measure: Measure) -> bool:
    return any(unit.name == "g/L" for unit in measure.units)


def _terms(text: Text) -> Iterator[Claim]:
    """ "salt costs 62 a bag of 20 kg", "strips come in boxes of 50", "salt delivery 5 days"."""
    for thing in things_in(text):
        inside = sentence(text, thing.start)
        told = hits_in(text, inside, TABLE, "said")
        if not told or word(text, inside.stop) == "?":
            continue
        values = _values(text, thing, inside, {h.meaning for h in told})
        if values:
            used = frozenset(inside)
            item = Setting("supply", None, {"supply": text.typed(thing.start, thing.stop), **values})
            yield Claim((item,), used, weigh(text.tokens, used, _SURE))


def _values(text: Text, thing: Hit, inside: range, told: set[str]) -> dict[str, Any]:
    numbers = [m for m in text.measures if m.start in inside and not m.span & thing.span]
    values: dict[str, Any] = {}
    days = next((d for d in text.durations if d.start in inside), None)
    if "delivery" in told and days:
        values["lead_days"] = round(days.minutes / 1440, 2)
    if "reserve" in told and days:
        values["reserve_days"] = round(days.minutes / 1440, 2)
    plain = [m for m in numbers if not m.unit("time")]
    if "price" in told and plain and not plain[0].units:
        values["price"] = plain[0].number.value
        plain = plain[1:]
    if plain and ("price" in told or "pack" in told):
        values["pack"] = _size(plain[0])
    return values


def _size(measure: Measure) -> Quantity:
    return measure.quantity("mass", "volume") or Quantity(measure.number.value, "")


def _costs(text: Text) -> Iterator[Claim]:
    """ "cost quillow march", "what did quillow cost in march", "costs this month"."""
    for hit in text.hits(TABLE, "asked"):
        inside = clause(text, hit.start)
        month, told = _month(text, inside)
        if hit.meaning != "cost" or month is None or "cost" not in " ".join(words(text, inside.start, inside.stop)):
            continue
        said = [i for i in inside if text.tokens[i].is_word or text.tokens[i].is_number]
        rest = [i for i in said if i not in told | hit.span and word(text, i) not in _ASKING]
        if all(is_named(text, i) for i in rest):
            used = frozenset(range(inside.start, inside.stop + (word(text, inside.stop) == "?"))) - frozenset(rest)
            item = Stock("cost", "asked", tank=_tank(text, inside), due=month)
            yield Claim((item,), used, weigh(text.tokens, used, _SURE))


def _tank(text: Text, inside: range) -> str | None:
    """The tank named there, where it is one."""
    named = [m.options for m in text.mentions if m.start in inside and not m.vat]
    return named[0][0] if len(named) == 1 and len(named[0]) == 1 else None


def _month(text: Text, inside: range) -> tuple[date | None, frozenset[int]]:
    """The first day of the month named, the latest one that has begun."""
    today = text.situation.now.date()
    for place in inside:
        if word(text, place) == "month" and word(text, place - 1) in ("this", "last", "the"):
            back = word(text, place - 1) == "last"
            return ((today.replace(day=1) - timedelta(days=back)).replace(day=1), frozenset((place - 1, place)))
        for hit in lexicon("words_times", "month").at(text.tokens, place):
            year = word(text, hit.stop)
            if year.isdigit() and len(year) == 4:
                return date(int(year), int(hit.meaning), 1), hit.span | {hit.stop}
            month = date(today.year, int(hit.meaning), 1)
            return month if month <= today else month.replace(year=today.year - 1), hit.span
    return None, frozenset()


def _all(text: Text) -> Iterator[Claim]:
    """ "supplies?", "what's running out"."""
    for hit in text.hits(TABLE, "asked"):
        inside = clause(text, hit.start)
        mark = word(text, inside.stop) == "?"
        lone = hit.start == inside.start and hit.stop == inside.stop
        if hit.meaning == "all" and lone and (mark or hit.stop - hit.start > 1 or word(text, hit.start) == "supplies"):
            used = frozenset(range(inside.start, inside.stop + mark))
            yield Claim((Stock("all", "asked"),), used, weigh(text.tokens, used, _SURE))
