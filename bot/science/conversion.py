"""One quantity in another unit or scale: plain units, salinity, alkalinity, reported forms, weights and spoons."""

from __future__ import annotations

from collections.abc import Callable

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import n, working
from bot.science.inputs import (
    Asked,
    Unanswerable,
    converted,
    customary,
    given,
    is_unit,
    measures,
    word,
    word_as_said,
    words,
)
from bot.science.reported_forms import in_form
from bot.science.salinity_scales import salinity_in
from bot.science.weights import mass_of_volume, volume_of_mass
from bot.science.working import Figure, Working

Result = tuple[float, tuple[str, ...], tuple[str, ...]]

_BELOW_ZERO = ("temperature", "temperature difference", "voltage")
_MG_L_PER_PERCENT = 10_000.0
_CARBONATE = "mg/L CaCO3"


def convert(asked: Asked) -> Working:
    """The value in the unit, scale or form asked for, else in its customary partner, which is then said."""
    said = _said(asked)
    formed, steps, sources = in_form(asked, said)
    formed, goal = _fluid_ounces(asked, formed, _goal(asked, formed, bool(steps)))
    value, more, from_where = _route(formed.unit, goal)(asked, formed, goal)
    return working(asked, _figures(asked, value, goal), (*steps, *more), _cautions(goal), (*sources, *from_where))


def _said(asked: Asked) -> Quantity:
    said = given(asked, "value")
    if said is None:
        raise Unanswerable("What to convert is missing. Send a number with its unit, such as 78 F or 1.025 SG.")
    if said.value < 0 and measures(said.unit) not in _BELOW_ZERO:
        raise Unanswerable(f"{words(said)} cannot be: such a quantity is not below 0. Send what was meant.")
    return said


def _fluid_ounces(asked: Asked, said: Quantity, goal: str) -> tuple[Quantity, str]:
    """Ounces beside another volume are fluid ounces, unless something is named that is weighed."""
    if word(asked, "chemical") or word(asked, "water") or {measures(said.unit), measures(goal)} != {"mass", "volume"}:
        return said, goal
    if "oz" not in (said.unit, goal):
        return said, goal
    asked.assume("fluid ounces")
    return (Quantity(said.value, "fl oz"), goal) if said.unit == "oz" else (said, "fl oz")


def _goal(asked: Asked, said: Quantity, formed: bool) -> str:
    goal = word_as_said(asked, "to_unit")
    if goal is not None and not is_unit(goal):
        raise Unanswerable(
            f"{goal} is no unit that can be worked out here. Send another, such as L, gal, ppt, dKH or degC."
        )
    if goal is not None:
        return _CARBONATE if goal == "mg/L" and measures(said.unit) == "alkalinity" else goal
    return said.unit if formed else _partner(asked, said)


def _partner(asked: Asked, said: Quantity) -> str:
    partner = table("measures")["partner"].get(said.unit)
    if partner is None:
        raise Unanswerable(f"Into what {words(said)} is to be turned is missing. Send the unit wanted with it.")
    asked.assume(f"shown in {partner}, as no unit was named")
    return str(partner)


def _route(unit: str, goal: str) -> Callable[[Asked, Quantity, str], Result]:
    kinds = (measures(unit), measures(goal))
    if kinds[0] == kinds[1] and "SG" not in (unit, goal):
        return _plain
    if kinds not in _ROUTES:
        raise Unanswerable(f"A {kinds[0]} ({unit}) cannot be turned into a {kinds[1]} ({goal}). Send another unit.")
    return _ROUTES[kinds]


def _plain(asked: Asked, said: Quantity, goal: str) -> Result:
    value = converted(said.value, said.unit, goal)
    return value, (f"{words(said)} = {n(value)} {goal}",), _unit_sources(goal)


def _unit_sources(goal: str) -> tuple[str, ...]:
    return ("dKH_definition",) if measures(goal) == "alkalinity" else ("NIST_units",)


def _salinity(asked: Asked, said: Quantity, goal: str) -> Result:
    value, step, sources = salinity_in(asked, said, goal)
    return value, (step,), sources


def _dissolved_solids(asked: Asked, said: Quantity, goal: str) -> Result:
    factor = customary(asked, "tds_factor")
    mg_L = converted(said.value, said.unit, "uS/cm") * factor
    return (
        converted(mg_L, "mg/L", goal),
        (f"{words(said)} x {factor:g} = {n(mg_L)} mg/L",),
        ("common practice, no source",),
    )


def _per_cent_of_water(asked: Asked, said: Quantity, goal: str) -> Result:
    asked.assume("per cent as grams in 100 mL: 1 % is 10 g/L")
    if said.unit == "%":
        value = converted(said.value * _MG_L_PER_PERCENT, "mg/L", goal)
    else:
        value = converted(said.value, said.unit, "mg/L") / _MG_L_PER_PERCENT
    return value, ("1 % = 10 000 mg/L",), ("definition",)


def _as_carbonate(asked: Asked, said: Quantity, goal: str) -> Result:
    """A plain mg/L of alkalinity or hardness counts as calcium carbonate (contract, section 1)."""
    mg_L = converted(said.value, said.unit, "mg/L")
    return converted(mg_L, _CARBONATE, goal), (f"{n(mg_L)} {_CARBONATE}",), ("dKH_definition",)


def _drops(asked: Asked, said: Quantity, goal: str) -> Result:
    per_mL = _drops_per_mL(asked)
    counted, flowing = ("drop", "mL") if "drop" in (said.unit, goal) else ("drop/s", "mL/min")
    each = per_mL if counted == "drop" else per_mL / 60
    if said.unit == counted:
        return converted(said.value / each, flowing, goal), (f"{words(said)} / {n(each)}",), ("drop_factors",)
    value = converted(said.value, said.unit, flowing) * each
    return value, (f"{words(said)} x {n(each)} = {n(value)} {counted}",), ("drop_factors",)


def _drops_per_mL(asked: Asked) -> float:
    said = given(asked, "drops_per_mL")
    value = said.value if said is not None else customary(asked, "drops_per_mL")
    if value <= 0:
        raise Unanswerable("Drops to the mL are above 0: count them into a 10 mL measure and send the number.")
    return value


def _figures(asked: Asked, value: float, goal: str) -> tuple[Figure, ...]:
    name = (measures(goal) != "mass" and word(asked, "parameter")) or measures(goal)
    return (Figure(name, value, goal),)


def _cautions(goal: str) -> tuple[str, ...]:
    return ("lifting",) if goal in ("lb", "kg") else ()


_ROUTES: dict[tuple[str, str], Callable[[Asked, Quantity, str], Result]] = {
    ("salinity", "salinity"): _salinity,
    ("salinity", "conductivity"): _salinity,
    ("conductivity", "salinity"): _salinity,
    ("share", "salinity"): _salinity,
    ("concentration", "salinity"): _salinity,
    ("salinity", "concentration"): _salinity,
    ("salinity", "share"): _salinity,
    ("conductivity", "concentration"): _dissolved_solids,
    ("share", "concentration"): _per_cent_of_water,
    ("concentration", "share"): _per_cent_of_water,
    ("concentration", "alkalinity"): _as_carbonate,
    ("volume", "mass"): mass_of_volume,
    ("mass", "volume"): volume_of_mass,
    ("drops", "volume"): _drops,
    ("volume", "drops"): _drops,
    ("drop rate", "flow"): _drops,
    ("flow", "drop rate"): _drops,
}
