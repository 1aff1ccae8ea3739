"""Rinsing: what is left after so many rinses, or how many are needed, with what stays behind each time."""

from __future__ import annotations

from math import ceil, log, pow

from bot.items import Quantity
from bot.science.answers import n, working
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, ask, customary, given, in_unit, needed, word
from bot.science.water_changes import count
from bot.science.working import Figure, Working

_CAUTIONS = ("rinse_test", "porous")
_SOURCES = ("mass_balance",)


def rinse(asked: Asked) -> Working:
    """Concentration left after rinses, or the rinses needed to come under one."""
    return _UNKNOWNS[_unknown(asked)](asked)


def left_after_rinses(start_mg_L: float, kept_share: float, rinses: float) -> float:
    """Concentration left, mg/L: C0 s^n, where s = held/(held + fresh) is the share that stays behind each time.

    Source      balance of mass, well mixed; porous things give more back
    Checked     fixtures/calc/rinse.jsonl
    """
    return start_mg_L * pow(kept_share, rinses)


def rinses_to_reach(start_mg_L: float, end_mg_L: float, kept_share: float) -> int:
    """Whole number of rinses until the concentration is at end_mg_L or under it; inputs as `left_after_rinses`."""
    return max(1, ceil(log(end_mg_L / start_mg_L) / log(kept_share) - 1e-9))


def _end(asked: Asked) -> Working:
    start, kept, rinses = _start(asked), _kept_share(asked), _rinses(asked)
    left = left_after_rinses(start, kept, rinses)
    steps = (_share_step(kept), f"{n(start)} mg/L x {n(kept)}^{rinses:g} = {n(left)} mg/L")
    return working(asked, (Figure("left", left, "mg/L"),), steps, _CAUTIONS, _SOURCES)


def _number(asked: Asked) -> Working:
    start, kept, wanted = _start(asked), _kept_share(asked), _wanted(asked)
    if wanted >= start:
        raise Unanswerable(f"{start:.4g} mg/L is already at or under {wanted:.4g} mg/L. Send a lower target.")
    if wanted <= 0:
        raise Unanswerable("Rinsing thins out and never reaches exactly 0. Send a limit such as 0.1 mg/L.")
    rinses = rinses_to_reach(start, wanted, kept)
    left = left_after_rinses(start, kept, rinses)
    steps = (_share_step(kept), f"n = ln({n(wanted)}/{n(start)})/ln({n(kept)}), rounded up: {rinses}")
    figures = (Figure("rinses", float(rinses), ""), Figure("left", left, "mg/L"))
    return working(asked, figures, steps, _CAUTIONS, _SOURCES)


def _unknown(asked: Asked) -> str:
    if word(asked, "ask"):
        return ask(asked)
    return "times" if given(asked, "times") is None else "end"


def _start(asked: Asked) -> float:
    return needed(asked, "from", "mg/L", "The strength before rinsing is missing. Send it, such as 200 mg/L.")


def _wanted(asked: Asked) -> float:
    wanted = amount(asked, "to", "mg/L")
    return wanted if wanted is not None else customary(asked, "rinsed_to")


def _rinses(asked: Asked) -> float:
    times = given(asked, "times")
    if times is None:
        asked.assume("one rinse")
        return 1.0
    return count(in_unit(times, "", "times"))


def _kept_share(asked: Asked) -> float:
    """The share that stays: held over held and fresh; a held per cent is of the full vessel."""
    held = given(asked, "held")
    if held is None:
        raise Lacking(
            "held",
            Quantity(5.0, "%"),
            "What stays behind after draining is missing. Send it, such as 0.5 L or 5 % of the bucket.",
        )
    if held.unit == "%":
        return _possible(in_unit(held, "%", "held") / 100)
    held_L = in_unit(held, "L", "held")
    fresh_L = needed(asked, "volume", "L", "The water of one rinse is missing. Send it, such as 5 gal or 20 L.")
    return _possible(held_L / (held_L + fresh_L))


def _possible(share: float) -> float:
    if not 0 < share < 1:
        raise Unanswerable(
            f"{share * 100:g} % held back cannot be: send what stays behind, more than 0 and less than all."
        )
    return share


def _share_step(kept: float) -> str:
    return f"stays behind each time: held/(held + fresh) = {n(kept)}"


_UNKNOWNS = {"end": _end, "times": _number}
