"""Topic free_ammonia: the toxic, un-ionised share of an ammonia reading, in fresh and sea water."""

from __future__ import annotations

from collections.abc import Callable
from math import log10

from bot.facts.load import table
from bot.science.answers import figures_in, n, working
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, reading, word
from bot.science.kinds import salinity_meant
from bot.science.phs import ph_meant
from bot.science.possible import possible
from bot.science.working import Figure, Working

_SEA_IF_UNSAID = 35.0


def ammonia_pka(temp_C: float, salinity_PSU: float) -> float:
    """pKa of ammonium on the scale that field meters show (buffers of low ionic strength).

    temp_C         0 to 30 in fresh water, about 5 to 28 in sea water
    salinity_PSU   0 to 40
    Source         Emerson_1975; for salt the ionic-strength term of Bower_Bidwell_1978
    Checked        fixtures/calc/free_ammonia.jsonl: Emerson's and Bower & Bidwell's tables, PyCO2SYS on the free scale
    """
    strength = 19.9273 * salinity_PSU / (1000 - 1.005109 * salinity_PSU)
    return 0.09018 + 2729.92 / (temp_C + 273.2) + (0.1552 - 0.0003142 * temp_C) * strength


def unionised_share(ph: float, temp_C: float, salinity_PSU: float) -> float:
    """Share of total ammonia that is NH3, 0 to 1; ranges and source as for ammonia_pka."""
    return float(1 / (1 + 10 ** (ammonia_pka(temp_C, salinity_PSU) - ph)))


def ph_for_share(share: float, temp_C: float, salinity_PSU: float) -> float:
    """pH at which the share (0 to 1, both excluded) is reached; source as for ammonia_pka."""
    return ammonia_pka(temp_C, salinity_PSU) - log10(1 / share - 1)


def free_ammonia(asked: Asked) -> Working:
    """Un-ionised ammonia, its share, or the total or pH at which it reaches a limit."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None or given(asked, "ammonia") is not None:
        return ask(asked)
    if given(asked, "to") is not None:
        return "ammonia"
    return "nh3" if "ammonia" in asked.known.readings else "share"


def _nh3(asked: Asked) -> Working:
    total, ph, temp_C, salinity = _total_mg_L(asked), ph_meant(asked), _temp_C(asked), _salinity(asked)
    share = unionised_share(ph, temp_C, salinity)
    figures = (
        *figures_in(asked, "un-ionised ammonia", total * share, "mg/L", "mg/L"),
        Figure("un-ionised share", share * 100, "%"),
        *_in_sea_water(asked, ph, temp_C, total, "un-ionised ammonia", "mg/L"),
    )
    step = f"{n(total)} mg/L x {n(share)} = {n(total * share)} mg/L, as the reading counts it{_basis(asked)}"
    return _answer(asked, figures, (_share_step(ph, temp_C, salinity), step))


def _share(asked: Asked) -> Working:
    ph, temp_C, salinity = ph_meant(asked), _temp_C(asked), _salinity(asked)
    share = unionised_share(ph, temp_C, salinity)
    other = _in_sea_water(asked, ph, temp_C, 100, "un-ionised share", "%")
    figures = (Figure("un-ionised share", share * 100, "%"), *_share_of_reading(asked, share), *other)
    return _answer(asked, figures, (_share_step(ph, temp_C, salinity),))


def _share_of_reading(asked: Asked, share: float) -> tuple[Figure, ...]:
    said = amount(asked, "ammonia", "mg/L")
    return () if said is None else (Figure("un-ionised ammonia", said * share, "mg/L"),)


def _ammonia(asked: Asked) -> Working:
    limit, ph, temp_C, salinity = _limit_mg_L(asked), ph_meant(asked), _temp_C(asked), _salinity(asked)
    share = unionised_share(ph, temp_C, salinity)
    step = f"{n(limit)} mg/L / {n(share)} = {n(limit / share)} mg/L"
    figures = figures_in(asked, "total ammonia", limit / share, "mg/L", "mg/L")
    return _answer(asked, figures, (_share_step(ph, temp_C, salinity), step))


def _ph_at_limit(asked: Asked) -> Working:
    limit, total, temp_C, salinity = _limit_mg_L(asked), _total_mg_L(asked), _temp_C(asked), _salinity(asked)
    if limit >= total:
        raise Unanswerable(f"{n(limit)} mg/L un-ionised is never reached: the total is only {n(total)} mg/L.")
    ph = ph_for_share(limit / total, temp_C, salinity)
    step = f"pKa {n(ammonia_pka(temp_C, salinity))} - log10({n(total)} / {n(limit)} - 1) = pH {n(ph)}"
    return _answer(asked, (Figure("pH", ph, "pH"),), (step,))


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "nh3": _nh3, "share": _share, "ammonia": _ammonia, "ph": _ph_at_limit,
}  # fmt: skip


def _total_mg_L(asked: Asked) -> float:
    total = amount(asked, "ammonia", "mg/L")
    total = reading(asked, "ammonia", "mg/L") if total is None else total
    if total is None:
        raise Unanswerable("How much ammonia? Send the reading, such as 0.5 mg/L.")
    return possible("ammonia", total, "mg/L", "ammonia")


def _limit_mg_L(asked: Asked) -> float:
    limit = amount(asked, "to", "mg/L")
    if limit is None:
        harm = table("ammonia")["harm"]
        asked.assume(f"limit {harm['value']:g} {harm['unit']} un-ionised: {harm['says']}")
        return float(harm["value"])
    if limit <= 0:
        raise Unanswerable("A limit of 0 is never kept exactly: send one above 0, such as 0.02 mg/L.")
    return limit


def _temp_C(asked: Asked) -> float:
    temp_C = amount(asked, "temperature", "degC")
    temp_C = reading(asked, "temperature", "degC") if temp_C is None else temp_C
    if temp_C is None:
        raise Unanswerable("How warm is the water? Send its temperature, such as 78 F.")
    if temp_C > 45:
        raise Unanswerable(f"{n(temp_C)} °C is no water of a tank: send the temperature again with its unit.")
    return temp_C


def _salinity(asked: Asked) -> float:
    meant = salinity_meant(asked)
    if meant is None:
        asked.assume("fresh water, which gives the higher figure; sea water of 35 ppt stands beside it")
        return 0.0
    return meant


def _in_sea_water(asked: Asked, ph: float, temp_C: float, total: float, name: str, unit: str) -> tuple[Figure, ...]:
    """The same in sea water, where the question left open which water it is."""
    if salinity_meant(asked) is not None:
        return ()
    return (Figure(f"{name} in sea water", total * unionised_share(ph, temp_C, _SEA_IF_UNSAID), unit),)


def _share_step(ph: float, temp_C: float, salinity_PSU: float) -> str:
    pka = ammonia_pka(temp_C, salinity_PSU)
    return f"pKa {n(pka)} at {n(temp_C)} °C, {n(salinity_PSU)} ppt; share 1 / (1 + 10^({n(pka)} - {n(ph)}))"


def _basis(asked: Asked) -> str:
    form = word(asked, "form")
    return f" ({form.upper()})" if form else ""


def _answer(asked: Asked, figures: tuple[Figure, ...], steps: tuple[str, ...]) -> Working:
    return working(asked, figures, steps, ("ammonia_kit",), ("Emerson_1975", "Bower_Bidwell_1978", "IFAS_FA16"))
