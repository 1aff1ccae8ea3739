"""The numbers of a question, each with all that it can measure; which one it does is settled where it is put to use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from bot.understanding.lexicon import around, lexicon, phrases
from bot.understanding.numerals import Number, numeral_at
from bot.understanding.questions_amount import Amount, looks_like_sg
from bot.understanding.text import Text
from bot.understanding.tokens import Token
from bot.understanding.units import Unit, unit_named, units_at

_PER = frozenset(("per", "/", "a", "an", "each", "every"))
_SEPARATORS = frozenset(("x", "by", "*", "×"))


def amounts_in(text: Text, taken: frozenset[int] = frozenset()) -> tuple[Amount, ...]:
    """Every number of the text but those in tokens already `taken` (a tank's name, an instrument's reference)."""
    tokens = text.tokens
    found = _dropped_mended(tokens, [_below_zero(tokens, n) for n in _numbers(tokens, text.metric, taken)])
    amounts = [_with_per(tokens, _ratio(tokens, n) or _gravity(tokens, n) or _amount(tokens, n)) for n in found]
    parts = _parts(tokens, found)
    amounts = [a for a in _without_second_of_ratio(amounts) if not _is_part(tokens, a)] + parts
    amounts += [each for each in _said_by_word(tokens, taken) if not _covered(each, amounts)]
    return tuple(_measured_out(tokens, _of_one_unit(tokens, sorted(amounts, key=lambda each: each.start))))


def _of_one_unit(tokens: Sequence[Token], amounts: list[Amount]) -> list[Amount]:
    """ "30 of 150 gal", "200 L drained of 700": both are of one unit."""
    done = list(amounts)
    for place, (one, more) in enumerate(pairwise(amounts)):
        between = {token.text for token in tokens[one.stop : more.start]}
        if one.bare and not one.share and more.unit("volume") and "of" in between and between <= _OUT_OF:
            done[place] = replace(one, units=more.units)
        behind = {token.text for token in tokens[more.stop : more.stop + 1]}
        out = "of" in between and (between | behind) & _TAKEN and between <= _TAKEN_OF
        taken_out = more.bare and one.unit("volume") and out
        if taken_out and not looks_like_sg(more.value):
            done[place + 1] = replace(more, units=one.units)
    return done


_OUT_OF = around("questions_amounts", "out_of")
_TAKEN = around("questions_amounts", "taken")
_TAKEN_OF = _OUT_OF | _TAKEN


def _numbers(tokens: Sequence[Token], metric: bool, taken: frozenset[int]) -> Iterable[Number]:
    place = 0
    while place < len(tokens):
        number = None if place in taken else numeral_at(tokens, place, metric)
        if number:
            yield number
        place = number.stop if number else place + 1


def _below_zero(tokens: Sequence[Token], number: Number) -> Number:
    """ "minus 5 C"; a "minus" behind a number takes away from it ("40 gal minus 10 for rock")."""
    place = number.start - 1
    said = place >= 0 and tokens[place].text in ("minus", "negative")
    led = place == 0 or (said and tokens[place - 1].is_word and not units_at(tokens, place - 1)[0])
    return replace(number, start=place, value=-number.value, others=()) if said and led else number


def _gravity(tokens: Sequence[Token], number: Number) -> Amount | None:
    """ "sg 1.5", "sg 1025": named as a specific gravity, whatever its size."""
    named = number.start and tokens[number.start - 1].text in ("sg", "gravity")
    if not named or not (0.5 < number.value < 2 or 900 < number.value < 2000):
        return None
    amount = _amount(tokens, number)
    value = number.value / 1000 if number.value >= 900 else number.value
    return replace(amount, value=value, units=(unit_named("SG"),)) if amount.bare else None


def _dropped_mended(tokens: Sequence[Token], numbers: list[Number]) -> list[Number]:
    """Without those that are taken back on the spot ("30 gal sorry 35 gal")."""
    words = lexicon("words_questions", "taken_back")
    back = {place for place in range(len(tokens)) if words.at(tokens, place)}
    kept: list[Number] = []
    for number in numbers:
        if kept and any(place in back for place in range(kept[-1].stop, number.start)):
            kept.pop()
        kept.append(number)
    return kept


def _amount(tokens: Sequence[Token], number: Number) -> Amount:
    start = number.stop
    while number.share and start < len(tokens) and tokens[start].text in ("a", "an", "of", "-"):
        start += 1
    if start < len(tokens) and tokens[start].text == "-" and tokens[start].glued:
        start += 1
    units, stop = units_at(tokens, start)
    if [t.text for t in tokens[start : start + 2]] == ["w", "/"] and not units_at(tokens, start + 2)[0]:
        units, stop = (), start  # "0.02 w/ tan 1"
    if start < len(tokens) and tokens[start].text == "in":
        units, stop = ((unit_named("in"),), start + 1) if _are_inches(tokens, start) else ((), start)
    units = tuple(unit for unit in units if (unit.name, tokens[start].text) != ("cup", "c"))
    if any(unit.measures == "share" for unit in units):
        stop = start + (2 if tokens[start].text == "per" else 1)
    no_salinity = looks_like_sg(number.value) and any(unit.name in ("ppt", "PSU") for unit in units)
    if no_salinity or (units and (_belongs_to_next(tokens, start, stop, units) or _is_verb(tokens, start, stop))):
        units = ()
    return Amount(number.start, stop if units else number.stop, number.value, number.others, units, share=number.share)


def _are_inches(tokens: Sequence[Token], place: int) -> bool:
    """ "24 in high", "30 in to cm"; not "1.024 in ppt", "40 in a tank", "5 in 75 gal"."""
    if place >= len(tokens) or tokens[place].text != "in":
        return False
    after = place + 1
    if tokens[place].glued or after == len(tokens) or not tokens[after].is_word:
        return tokens[place].glued or after == len(tokens) or tokens[after].kind != "number"
    articles = ("a", "an", "the", "my", "our", "this", "that", "one", "two", "half", "tank", "fresh", "salt")
    if lexicon("words_questions", "water").at(tokens, after):
        return False
    return (
        tokens[after].text not in articles and not units_at(tokens, after)[0] and not numeral_at(tokens, after, False)
    )


def _belongs_to_next(tokens: Sequence[Token], start: int, stop: int, units: Sequence[Unit]) -> bool:
    """ "ca 420 mg 1280", "alk 8 kh": a unit word that is also a parameter's, with a number behind it; "24 in a"."""
    if stop >= len(tokens):
        return False
    named = any(unit.name in ("mg", "g", "dKH", "dGH", "SG") for unit in units)
    return (
        named
        and not tokens[start].glued
        and numeral_at(tokens, stop, False) is not None
        and _is_parameter(tokens[start])
    )


def _is_verb(tokens: Sequence[Token], start: int, stop: int) -> bool:
    """ "what does nitrate 50 drop to"."""
    after = tokens[stop].text if stop < len(tokens) else ""
    return tokens[start].text in ("drop", "drops") and after in ("to", "from", "by", "down", "off", "if", "after")


def _is_parameter(token: Token) -> bool:
    return token.text in ("mg", "kh", "gh", "sg")


def _ratio(tokens: Sequence[Token], number: Number) -> Amount | None:
    """ "1:100", "7 : 1", "7 to 1", "1 part to 50"; the value is the greater part over the smaller."""
    place = number.stop
    if place + 1 >= len(tokens) or tokens[place].text not in (":", "to"):
        return None
    other = numeral_at(tokens, place + 1, False)
    if other is None or 0 in (number.value, other.value) or 1 not in (number.value, other.value):
        return None
    if tokens[place].text == "to" and (units_at(tokens, other.stop)[0] or not _speaks_of_ratios(tokens)):
        return None
    big, small = max(number.value, other.value), min(number.value, other.value)
    return Amount(number.start, other.stop, big / small, ratio=True)


def _parts(tokens: Sequence[Token], numbers: Sequence[Number]) -> list[Amount]:
    """ "1 part bleach to 9 parts water": one in ten."""
    parts = [n for n in numbers if n.stop < len(tokens) and tokens[n.stop].text in ("part", "parts")]
    if len(parts) != 2 or 0 in (parts[0].value, parts[1].value):
        return []
    one, more = sorted(parts, key=lambda each: each.value)
    start, stop = min(one.start, more.start), max(one.stop, more.stop) + 1
    return [Amount(start, stop, (one.value + more.value) / one.value, ratio=True)]


def _speaks_of_ratios(tokens: Sequence[Token]) -> bool:
    said = lexicon("words_questions", "strong").find(tokens)
    return any(hit.meaning in ("bleach_solution", "dechlorination") for hit in said)


def _is_part(tokens: Sequence[Token], amount: Amount) -> bool:
    return amount.stop < len(tokens) and tokens[amount.stop].text in ("part", "parts")


def _without_second_of_ratio(amounts: list[Amount]) -> list[Amount]:
    ratios = [each for each in amounts if each.ratio]
    return [a for a in amounts if a.ratio or not any(r.start < a.start < r.stop for r in ratios)]


def _with_per(tokens: Sequence[Token], amount: Amount) -> Amount:
    """ "0.6 dkh a day", "25 W per degree C", "38 g per litre", "20 drops/mL": the unit behind "per"."""
    place = amount.stop
    if amount.ratio or place + 1 >= len(tokens):
        return amount
    if tokens[place].text == "of" and tokens[place + 1].text in _OF_SALT and place + 3 < len(tokens):
        place += 2
    if tokens[place].text in _PER:
        units, stop = units_at(tokens, place + 1)
        if amount.unit("alkalinity") and units and units[0].name == "L":
            return replace(amount, stop=stop)  # "2.4 meq per liter"
        if amount.unit("time") and units and units[0].measures == "time":
            return amount  # "12 gal in 8 days per day?"
        if units and (tokens[place].text not in ("a", "an") or units[0].measures == "time"):
            return replace(amount, per=_per_name(units), stop=stop)
        return amount
    daily = lexicon("words_questions", "interval").at(tokens, place)
    return replace(amount, per=daily[0].meaning, stop=daily[0].stop) if daily and amount.units else amount


def _per_name(units: Sequence[Unit]) -> str:
    """The unit that stands behind "per" more often: a degree, a volume, a time rather than a cup, a gram, a metre."""
    order = ("temperature", "volume", "time")
    return min(units, key=lambda u: order.index(u.measures) if u.measures in order else 9).name


def _said_by_word(tokens: Sequence[Token], taken: frozenset[int]) -> Iterable[Amount]:
    """ "once", "double"; "in a gallon", "over a week", "per degree C": one of it."""
    for hit in lexicon("words_questions", "doubling").find(tokens):
        if not hit.start or tokens[hit.start - 1].text != "at":
            yield Amount(hit.start, hit.stop, float(hit.meaning), word=True)
    for place in range(1, len(tokens) - 1):
        kinds = _one_of(tokens, place)
        units, stop = units_at(tokens, place + 1) if kinds and place not in taken else ((), place)
        if any(unit.measures in kinds for unit in units) and len(tokens[place + 1].text) > 1:
            yield Amount(place, stop, 1.0, units=units, word=True)
    for hit in lexicon("words_questions", "interval").find(tokens):
        if hit.stop - hit.start == 1:
            yield Amount(hit.start, hit.stop, 1.0, units=(unit_named(hit.meaning),), word=True)


def _one_of(tokens: Sequence[Token], place: int) -> tuple[str, ...]:
    """What a unit word without a number can measure here."""
    if tokens[place].text in ("per", "each", "every"):
        plain = tokens[place - 1].is_word and not units_at(tokens, place - 1)[0]
        return ("temperature", "volume") if plain and tokens[place - 1].text not in _OF_SALT else ("temperature",)
    if tokens[place].text not in ("a", "an") or tokens[place - 1].is_number:
        return ()
    if tokens[place - 1].text in _BEFORE_ONE:
        return ("volume", "time", "mass")
    return () if units_at(tokens, place - 1)[0] else ("volume",)


_OF_SALT = frozenset(("salt", "mix", "salts"))
_BEFORE_ONE = frozenset(phrases("in, into, of, over, for, with, add, within, triple, double, to, take, per"))


def _covered(each: Amount, amounts: Sequence[Amount]) -> bool:
    return any(each.start < other.stop and other.start < each.stop for other in amounts)


def _measured_out(tokens: Sequence[Token], amounts: list[Amount]) -> list[Amount]:
    """ "48 x 24 x 20 in", "4ft by 2ft": numbered; a unit said once, at the end, is that of all."""
    runs: list[list[int]] = []
    for place, amount in enumerate(amounts):
        joined = runs and runs[-1][-1] == place - 1 and _is_by(tokens, amounts[place - 1], amount)
        runs[-1:] = [[*runs[-1], place]] if joined else [*runs[-1:], [place]]
    done = list(amounts)
    for run in (run for run in runs if 1 < len(run) <= 3):
        last = done[run[-1]]
        lengths = last.units if last.unit("length") else ()
        if last.unit("volume") and (len(run) == 3 or done[run[0]].unit("length")):
            done[run[-1]] = replace(last, units=(), stop=last.start + 1)
        if all(done[i].bare or done[i].unit("length") for i in run):
            for order, i in enumerate(run, 1):
                done[i] = replace(done[i], dim=order, units=done[i].units or lengths)
    return done


def _is_by(tokens: Sequence[Token], first: Amount, second: Amount) -> bool:
    between = [token.text for token in tokens[first.stop : second.start]]
    return len(between) == 1 and between[0] in _SEPARATORS
