"""Salt for new water, or for weaker water to be made stronger before use; by balance of salt and water."""

from __future__ import annotations

from dataclasses import replace

from bot.science.answers import n, volume_figures, working
from bot.science.density import sea_density_kg_L
from bot.science.inputs import Asked, Unanswerable, ask, customary, given, volume_L, word
from bot.science.salinity import HIGHEST_PSU, salt_g_kg
from bot.science.salinity_change import salinity_change
from bot.science.salt import dry_at_hand_g, mix_per_dry, salt_figures
from bot.science.salt_balance import salinity_after_salt, salt_for_finished_g, salt_to_raise_g
from bot.science.water import salinity_figures, salinity_given, salinity_wanted, temperature_C
from bot.science.working import Working

_SOURCES = ("EOS80", "TEOS10", "mass_balance")
_CAUTIONS = ("salt_dissolve_outside", "salt_recheck", "lifting")


def salt_mix(asked: Asked) -> Working:
    """Mass of salt for a volume, or what a mass of salt makes: its volume or its salinity."""
    wanted = _unknown(asked)
    return _raised(asked) if wanted == "salt" and _is_of_tank(asked) else _UNKNOWNS[wanted](asked)


def _is_of_tank(asked: Asked) -> bool:
    """Without a volume of its own the salt is for the tank on record, whose water is not fresh."""
    known = asked.known
    return given(asked, "volume") is None and known.volume_L is not None and not known.new_water


def _raised(asked: Asked) -> Working:
    inputs = {**asked.question.inputs, "ask": "salt"}
    return salinity_change(replace(asked, question=replace(asked.question, topic="salinity_change", inputs=inputs)))


def _salt(asked: Asked) -> Working:
    litres, before, wanted, temp = volume_L(asked), _before(asked), _wanted(asked), temperature_C(asked)
    _check_rise(before, wanted)
    balance = salt_for_finished_g if _finished(asked) else salt_to_raise_g
    dry, per_dry = balance(litres, before, wanted, temp), mix_per_dry(asked)
    steps = (_density_step(litres, before, wanted, temp), _balance_step(before, wanted, dry), *_mix_step(dry, per_dry))
    return working(asked, salt_figures(asked, dry, per_dry), steps, _CAUTIONS, _SOURCES)


def _volume(asked: Asked) -> Working:
    dry, before, wanted, temp = dry_at_hand_g(asked), _before(asked), _wanted(asked), temperature_C(asked)
    _check_rise(before, wanted)
    balance = salt_for_finished_g if _finished(asked) else salt_to_raise_g
    per_L = balance(1, before, wanted, temp)
    steps = (f"salt for 1 L: {n(per_L)} g", f"{n(dry)} g / {n(per_L)} g/L = {n(dry / per_L)} L")
    return working(asked, volume_figures(asked, "water", dry / per_L), steps, _CAUTIONS, _SOURCES)


def _end(asked: Asked) -> Working:
    dry, litres, before, temp = dry_at_hand_g(asked), volume_L(asked), _before(asked), temperature_C(asked)
    end = salinity_after_salt(litres, before, dry, temp)
    if end > HIGHEST_PSU:
        raise Unanswerable(
            f"So much salt in {litres:.4g} L would pass {HIGHEST_PSU:g} ppt, too strong for any tank. "
            "Send mass and volume again."
        )
    steps = (f"{n(dry)} g dry salt in {n(litres)} L of {n(before)} ppt at {n(temp)} °C gives {n(end)} ppt",)
    return working(asked, salinity_figures(asked, "salinity", end), steps, _CAUTIONS, _SOURCES)


def _unknown(asked: Asked) -> str:
    if word(asked, "ask") or given(asked, "added") is None:
        return ask(asked)
    return "volume" if given(asked, "to") and not given(asked, "volume") else "end"


def _before(asked: Asked) -> float:
    """New water is fresh unless the question says otherwise; the tank's own reading is no starting point for it."""
    return salinity_given(asked, "from") or 0.0


def _wanted(asked: Asked) -> float:
    wanted = salinity_wanted(asked)
    return wanted if wanted is not None else customary(asked, "salinity_target")


def _finished(asked: Asked) -> bool:
    if word(asked, "basis") == "finished":
        return True
    asked.assume("the volume is the water before the salt goes in")
    return False


def _check_rise(before: float, wanted: float) -> None:
    if wanted <= before:
        raise Unanswerable(
            f"Salt only raises salinity: the water already has {before:.4g} ppt and {wanted:.4g} ppt is wanted. "
            "Thin it with fresh water, or send a higher target."
        )


def _density_step(litres: float, before: float, wanted: float, temp: float) -> str:
    start, end = sea_density_kg_L(before, temp), sea_density_kg_L(wanted, temp)
    return f"{n(litres)} L at {n(temp)} °C; density {n(start)} kg/L before, {n(end)} kg/L after"


def _balance_step(before: float, wanted: float, dry: float) -> str:
    return (
        f"salt in the water: {n(salt_g_kg(before))} g/kg before, {n(salt_g_kg(wanted))} g/kg after; "
        f"kg of water x (a1/(1-a1) - a0/(1-a0)) = {n(dry)} g dry salt"
    )


def _mix_step(dry: float, per_dry: float) -> tuple[str, ...]:
    return () if per_dry == 1 else (f"{n(dry)} g dry x {n(per_dry)} g mix per g dry = {n(dry * per_dry)} g mix",)


_UNKNOWNS = {"salt": _salt, "volume": _volume, "end": _end}
