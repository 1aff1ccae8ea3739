"""The team's salt: what a mix takes beside pure dry sea salt, and how a mass of it is shown."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.answers import mass_figures
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, converted, customary, given, in_unit, word
from bot.science.salinity import salt_g_L
from bot.science.salt_balance import salt_to_raise_g
from bot.science.water import salinity_given, temperature_C
from bot.science.working import Figure

_LEAST_DRY_PERCENT = 50.0  # weighed with all their water of crystallisation, the salts of sea water are five sixths dry
_LEAST_SHARE = 0.9  # a label's round figure may lie a little under what pure salt takes


def mix_per_dry(asked: Asked) -> float:
    """Grams of the team's mix that hold one gram of dry sea salt; 1, and said so, where nothing is known of it."""
    said, moisture = given(asked, "yield"), amount(asked, "moisture", "%")
    if said is not None:
        return _stated_yield(asked)
    if moisture is not None:
        return 1 / _share(100 - moisture, f"{moisture:g} % moisture")
    if asked.known.salt_g_per_L_at_35 is not None:
        return _recorded_yield(asked, asked.known.salt_g_per_L_at_35)
    customary(asked, "dry_salt")
    return 1.0


def dry_at_hand_g(asked: Asked) -> float:
    """Dry sea salt in the mass that the question has at hand, g."""
    added = amount(asked, "added", "g")
    if added is None:
        raise Lacking(
            "added", Quantity(1.0, "kg"), "The mass of salt is missing. Send it with its unit, such as 2 kg or 5 lb."
        )
    return added / mix_per_dry(asked)


def salt_figures(asked: Asked, dry_g: float, per_dry: float) -> tuple[Figure, ...]:
    """Mass of the mix, level cups of it (their mass named in `assumed`), then its dry salt where that differs."""
    cup_g = customary(asked, "salt_cup")
    cups = Figure("salt, level cups", dry_g * per_dry / cup_g, "cup")
    weighed = mass_figures(asked, "salt", dry_g * per_dry)
    dry = () if per_dry == 1 else mass_figures(asked, "dry salt in it", dry_g)[:1]
    return (cups, *weighed, *dry) if word(asked, "to_unit") == "cup" else (*weighed, cups, *dry)


def _stated_yield(asked: Asked) -> float:
    said = _said_share(asked)
    if said is not None:
        return 1 / _share(said, f"a yield of {said:g} %")
    at = salinity_given(asked, "yield_at")
    if at is None:
        asked.assume("the mix's figure is meant for 35 ppt")
    return _possible(_stated_g_L(asked), _dry_g_L(asked, at or 35.0), at or 35.0)


def _said_share(asked: Asked) -> float | None:
    said = given(asked, "yield")
    if said is None or said.unit not in ("%", ""):
        return None
    return said.value if said.unit == "%" else said.value * 100


def _stated_g_L(asked: Asked) -> float:
    said = given(asked, "yield")
    assert said is not None
    if said.unit == "cup/gal":
        return said.value * customary(asked, "salt_cup") / converted(1, "gal", "L")
    return in_unit(said, "g/L", "yield")


def _dry_g_L(asked: Asked, at_PSU: float) -> float:
    if word(asked, "basis") == "finished":
        return salt_g_L(at_PSU, temperature_C(asked))
    return salt_to_raise_g(1, 0, at_PSU, temperature_C(asked))


def _recorded_yield(asked: Asked, g_L: float) -> float:
    asked.assume(f"the team's mix takes {g_L:g} g/L for 35 ppt, on record")
    return _possible(g_L, _dry_g_L(asked, 35.0), 35.0)


def _possible(stated_g_L: float, dry_g_L: float, at_PSU: float) -> float:
    if stated_g_L < dry_g_L * _LEAST_SHARE:
        raise Unanswerable(
            f"{stated_g_L:.4g} g/L cannot make {at_PSU:.4g} ppt: even pure dry salt takes {dry_g_L:.4g} g/L. "
            "Send what the mix takes, and for which salinity."
        )
    return stated_g_L / dry_g_L


def _share(percent: float, said: str) -> float:
    if not _LEAST_DRY_PERCENT <= percent <= 100:
        raise Unanswerable(
            f"{said} cannot be: a mix holds between {_LEAST_DRY_PERCENT:g} and 100 % dry salt. Send its figure again; "
            "if a strength of the water was meant, send it as the target, such as to 0.3 %."
        )
    return percent / 100
