"""Topic temperature_blend: what two waters make together, how much of the second, or how warm it must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.science.answers import volume_figures, working
from bot.science.inputs import Asked, Unanswerable, amount, ask, given, needed, volume_L, word
from bot.science.temperatures import shown_C, tank_temperature_C, temperature_words
from bot.science.working import Figure, Working


def blended_C(first_L: float, first_C: float, second_L: float, second_C: float) -> float:
    """Temperature of two waters together, degC, by volume: within 0.1 K of the full energy_balance to 40 °C."""
    return (first_L * first_C + second_L * second_C) / (first_L + second_L)


def share_of_second(first_C: float, second_C: float, wanted_C: float) -> float:
    """Share of the mixture that must be the second water, 0 to 1, for a temperature between the two."""
    return (wanted_C - first_C) / (second_C - first_C)


@dataclass(frozen=True)
class _Model:
    """How the second water comes in: `first_L` and `second_L` of the mixture for `volume_L` and a part of it."""

    name: str
    kept_L: Callable[[float, float], float]
    second_from_share: Callable[[float, float], float]


_MODELS = {
    "replace": _Model("replace", lambda whole, part: whole - part, lambda whole, share: whole * share),
    "total": _Model("total", lambda whole, part: whole - part, lambda whole, share: whole * share),
    "add": _Model("add", lambda whole, part: whole, lambda whole, share: whole * share / (1 - share)),
}


def temperature_blend(asked: Asked) -> Working:
    """Temperature of a mixture, or the second water's volume or temperature; source energy_balance."""
    return _ANSWERS[_wanted(asked)](asked)


def _wanted(asked: Asked) -> str:
    if word(asked, "ask") is not None or given(asked, "to") is None:
        return ask(asked)
    part_known = given(asked, "volume_2") is not None or given(asked, "change") is not None
    return "temperature_2" if part_known and given(asked, "temperature_2") is None else "volume_2"


def _end(asked: Asked) -> Working:
    model, whole, first = _model(asked), _whole_L(asked), _first_C(asked)
    part, second = _part_L(asked, whole), _second_C(asked)
    kept = _kept(model, whole, part)
    end = blended_C(kept, first, part, second)
    step = f"({kept:.4g} L x {first:.4g} °C + {part:.4g} L x {second:.4g} °C) / {kept + part:.4g} L = {end:.4g} °C"
    return _answer(asked, shown_C(asked, "temperature", end), step)


def _volume_2(asked: Asked) -> Working:
    first, second = _first_C(asked), _second_C(asked)
    wanted = _wanted_C(asked, first, second)
    model, whole, share = _model(asked), volume_L(asked), share_of_second(first, second, wanted)
    if share >= 1 and model.name == "add":
        raise Unanswerable("Nothing of the first water may stay in for that: exchange it instead of adding.")
    part = model.second_from_share(whole, share)
    exchanged = volume_figures(asked, "second water, exchanged", whole * share) if model.name == "add" else ()
    step = f"({wanted:.4g} - {first:.4g}) / ({second:.4g} - {first:.4g}) = {share:.4g} of the mixture"
    return _answer(asked, (*_both_parts(asked, model, whole, part, second > first), *exchanged), step)


def _both_parts(asked: Asked, model: _Model, whole: float, part: float, second_hotter: bool) -> tuple[Figure, ...]:
    """The second water first; of a whole mixture both parts, called hot and cold."""
    if model.name != "total":
        return volume_figures(asked, "second water", part)
    hot, cold = ("hot water", "cold water") if second_hotter else ("cold water", "hot water")
    return (*volume_figures(asked, hot, part), *volume_figures(asked, cold, whole - part))


def _temperature_2(asked: Asked) -> Working:
    model, whole, first = _model(asked), _whole_L(asked), _first_C(asked)
    part, wanted = _part_L(asked, whole), needed(asked, "to", "degC", "What temperature should come out? Send it.")
    kept = _kept(model, whole, part)
    second = (wanted * (kept + part) - first * kept) / part
    if not -2 <= second <= 100:
        at = temperature_words(asked, second)
        raise Unanswerable(f"The second water would have to be at {at}: that cannot be. Use more of it.")
    step = f"({wanted:.4g} °C x {kept + part:.4g} L - {first:.4g} °C x {kept:.4g} L) / {part:.4g} L = {second:.4g} °C"
    return _answer(asked, shown_C(asked, "second water", second), step)


_ANSWERS: dict[str, Callable[[Asked], Working]] = {
    "end": _end, "volume_2": _volume_2, "temperature_2": _temperature_2,
}  # fmt: skip


def _model(asked: Asked) -> _Model:
    """As said; else an exchange where a change is named, an addition where not, and that is named."""
    said = word(asked, "model")
    if said in _MODELS:
        return _MODELS[said]
    if given(asked, "change") is not None:
        return _MODELS["replace"]
    asked.assume("the second water is added on top of the first; a full tank takes an exchange")
    return _MODELS["add"]


def _kept(model: _Model, whole: float, part: float) -> float:
    kept = model.kept_L(whole, part)
    if kept < 0:
        raise Unanswerable(f"{part:.4g} L is more than the {whole:.4g} L there are: send the smaller part again.")
    return kept


def _first_C(asked: Asked) -> float:
    first = tank_temperature_C(asked, "from")
    if first is None:
        raise Unanswerable("How warm is the first water? Send its temperature.")
    return first


def _second_C(asked: Asked) -> float:
    return needed(asked, "temperature_2", "degC", "How warm is the second water? Send its temperature.")


def _wanted_C(asked: Asked, first_C: float, second_C: float) -> float:
    wanted = needed(asked, "to", "degC", "What temperature should come out? Send it.")
    low, high = sorted((first_C, second_C))
    if not low <= wanted <= high or low == high:
        asked_for, cold, hot = (temperature_words(asked, each) for each in (wanted, low, high))
        raise Unanswerable(
            f"{asked_for} lies outside {cold} to {hot}: no mixture of these two waters gives it. "
            "Send a temperature between the two, or warmer or colder water."
        )
    return wanted


def _whole_L(asked: Asked) -> float:
    """The first water; where only a per cent is exchanged, its volume does not matter."""
    said = given(asked, "change")
    if said is not None and said.unit == "%" and given(asked, "volume") is None and asked.known.volume_L is None:
        return 1.0
    return volume_L(asked)


def _part_L(asked: Asked, whole_L: float) -> float:
    part = _change_L(asked, whole_L)
    part = amount(asked, "volume_2", "L") if part is None else part
    if part is None or part <= 0:
        raise Unanswerable("How much of the second water? Send its volume, or the per cent exchanged.")
    return part


def _change_L(asked: Asked, whole_L: float) -> float | None:
    said = given(asked, "change")
    if said is None:
        return None
    return whole_L * said.value / 100 if said.unit == "%" else amount(asked, "change", "L")


def _answer(asked: Asked, figures: tuple[Figure, ...], step: str) -> Working:
    return working(asked, figures, (step,), ("match_water",), ("energy_balance",))
