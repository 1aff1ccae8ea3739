"""What a number of a question measures in a given place, in the unit as said; a bare one in the customary unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bot.items import Quantity
from bot.understanding.questions_amount import SMALL, Amount, looks_like_sg
from bot.understanding.questions_context import STRIPPED, Context
from bot.understanding.values import unit_of_bare

_MASS_PER_VOLUME = ("g", "kg", "lb", "oz", "cup")
_TIME_NAMES = ("day", "week", "month", "h", "min", "year")


def measured(amount: Amount, kind: str, context: Context) -> Quantity | None:
    """The amount as a measure of this kind; None where it cannot be one."""
    if amount.word and not amount.units:
        return Quantity(amount.value, "") if kind == "fold" else None
    if amount.share and not amount.units and kind != "share":
        return None
    special = _SPECIAL.get(kind)
    if special:
        return special(amount, context)
    if amount.ratio or (amount.per and (kind != "volume" or amount.per not in _TIME_NAMES)):
        return None
    if amount.bare:
        unit = _bare_unit(kind, amount.value, context)
        return None if unit is None else _as_bare(amount.value, unit)
    return amount.quantity(kind) or _stripped(amount, kind, context)


def _turned_over(amount: Amount, context: Context) -> Quantity | None:
    """ "turn over 150 gal per hour": the volume before "per hour"; "gph" is none."""
    flow = amount.quantity("flow")
    said_apart = flow and amount.stop - amount.start > 3
    return Quantity(amount.value, flow.unit.split("/")[0]) if flow and said_apart else None


def _stripped(amount: Amount, kind: str, context: Context) -> Quantity | None:
    if kind not in STRIPPED or not any(unit.measures in STRIPPED[kind][1] for unit in amount.units):
        return None
    if kind == "salinity" and not looks_like_sg(amount.value):
        return None
    if any(unit.name not in ("g", "mg", "kg", "lb", "gal", "L") for unit in amount.units) or amount.per:
        return None
    return measured(replace(amount, units=()), kind, context)


def _as_bare(value: float, unit: str) -> Quantity:
    return Quantity(value / 1000 if unit == "SG" and value >= 1000 else value, unit)


def _bare_unit(kind: str, value: float, context: Context) -> str | None:
    if kind == "salinity":
        return "SG" if looks_like_sg(value) else "ppt"
    if kind == "temperature":
        return _degrees(value, context)
    if kind == "conductivity":
        return "mS/cm" if value < 200 else "uS/cm"
    if kind == "volume":
        return context.volume or ("L" if context.metric else "gal")
    if kind == "length":
        return _length_unit(value, context)
    return _BARE_UNITS.get(kind)


def _length_unit(value: float, context: Context) -> str:
    """That of the other lengths, unless no tank measures so few millimetres or so many metres ("12 mm glass")."""
    said, plain = context.length, "cm" if context.metric else "in"
    unlikely = (said == "mm" and value < 200) or (said in ("m", "ft") and value > 30)
    return plain if said is None or unlikely else said


_BARE_UNITS = {
    "concentration": "mg/L",
    "hardness": "dGH",
    "share": "%",
    "time": "min",
    "power": "W",
    "turnover": "1/h",
    "flow": "gal/h",
}


def _degrees(value: float, context: Context) -> str:
    if value >= 50 or (value >= 36 and context.temperature == "degF"):
        return "degF"
    if value < 36 and context.temperature != "degF":
        return "degC"
    return context.temperature or ("degC" if context.metric else "degF")


def _concentration(amount: Amount, context: Context) -> Quantity | None:
    found = amount.quantity("concentration")
    if amount.per or amount.ratio or (found and found.unit == "g/L"):
        return None
    return Quantity(amount.value, "mg/L") if amount.bare else found


def _grams_per_litre(amount: Amount, context: Context) -> Quantity | None:
    per_litre = _PER_LITRE.get((unit.name, amount.per or "")) if (unit := amount.unit("mass")) else None
    if per_litre:
        return Quantity(amount.value * per_litre, "g/L")
    found = amount.quantity("concentration")
    return found if found and found.unit == "g/L" else None


_PER_LITRE = {("g", "L"): 1, ("mg", "mL"): 1, ("g", "mL"): 1000}


def _yield(amount: Amount, context: Context) -> Quantity | None:
    if amount.per in ("gal", "L"):
        unit = next((u.name for u in amount.units if u.name in _MASS_PER_VOLUME and u.name != "gal"), None)
        return Quantity(amount.value, f"{unit}/{amount.per}") if unit else None
    return _grams_per_litre(amount, context)


def _parameter(amount: Amount, context: Context) -> Quantity | None:
    """A value of the parameter that the question is about, in the unit said or the parameter's own."""
    if amount.per or amount.ratio:
        return None
    kind = _KIND_OF.get(context.parameter or "", "concentration")
    if amount.bare:
        return measured(amount, kind, context)
    found = amount.quantity(kind) or amount.quantity("concentration") or amount.quantity("alkalinity")
    found = found or amount.quantity("hardness") or _stripped(amount, "parameter", context)
    if found and found.unit == "mg/L" and kind == "alkalinity":
        return Quantity(found.value, "mg/L CaCO3")
    return None if found and found.unit == "g/L" else found


_KIND_OF = {"alkalinity": "alkalinity", "hardness": "hardness"}


def _alkalinity(amount: Amount, context: Context) -> Quantity | None:
    """In its own units, or in ppm, which then count calcium carbonate."""
    found = amount.quantity("alkalinity") or amount.quantity("concentration")
    if amount.per or amount.ratio or amount.word:
        return None
    if amount.bare:
        return Quantity(amount.value, str(unit_of_bare("alkalinity", amount.value)))
    return Quantity(found.value, "mg/L CaCO3") if found and found.unit == "mg/L" else found


def _rate(amount: Amount, context: Context) -> Quantity | None:
    if amount.per not in _TIME_NAMES:
        return None
    bare = Amount(amount.start, amount.stop, amount.value, units=amount.units)
    salinity = amount.quantity("salinity")
    if amount.bare and amount.value < 0.02:
        return Quantity(amount.value, "SG")
    return salinity or _parameter(bare, context)


def _difference(amount: Amount, context: Context) -> Quantity | None:
    unit = amount.unit("temperature")
    if amount.per or amount.ratio or not (unit or amount.bare):
        return None
    name = unit.name if unit and unit.name != "deg" else context.temperature or ("degC" if context.metric else "degF")
    return Quantity(amount.value, f"delta_{name}")


def _temperature(amount: Amount, context: Context) -> Quantity | None:
    if amount.per or amount.ratio or amount.word:
        return None
    unit = amount.unit("temperature")
    if unit is None and not amount.bare:
        return None
    open_ = unit is None or unit.name == "deg"
    return Quantity(amount.value, _degrees(amount.value, context) if open_ or unit is None else unit.name)


def _small(amount: Amount, context: Context) -> Quantity | None:
    found = None if amount.per else amount.quantity("volume")
    return found if found and found.unit in SMALL else None


def _loss(amount: Amount, context: Context) -> Quantity | None:
    if amount.per not in ("degC", "degF", "deg") or not amount.unit("power"):
        return None
    name = amount.per if amount.per != "deg" else context.temperature or ("degC" if context.metric else "degF")
    return Quantity(amount.value, f"W/{name}")


def _flow(amount: Amount, context: Context) -> Quantity | None:
    """ "600 gph", and a volume for each time ("2 gal daily")."""
    volume = amount.quantity("volume")
    joined = f"{volume.unit}/{amount.per}" if volume and amount.per else ""
    if joined in _FLOWS:
        return Quantity(amount.value, joined)
    return None if amount.per else amount.quantity("flow")


_FLOWS = frozenset(("gal/h", "gal/day", "gal/min", "L/h", "L/day", "L/min", "mL/min"))


def _count(amount: Amount, context: Context) -> Quantity | None:
    whole = amount.bare and not amount.share and not amount.units
    return Quantity(amount.value, "") if whole else None


def _drops_per_mL(amount: Amount, context: Context) -> Quantity | None:
    counted = amount.unit("drops") or amount.bare
    return Quantity(amount.value, "") if counted and amount.per == "mL" else None


def _share(amount: Amount, context: Context) -> Quantity | None:
    if amount.share and not amount.units:
        return Quantity(round(amount.value * 100, 10), "%")
    if amount.bare:
        counts = amount.value in (1, 2) or amount.value > 100  # "in one change" counts changes
        return None if amount.per or amount.word or counts else Quantity(amount.value, "%")
    return amount.quantity("share")


_SPECIAL: dict[str, Callable[[Amount, Context], Quantity | None]] = {
    "concentration": _concentration,
    "gL": _grams_per_litre,
    "yield": _yield,
    "parameter": _parameter,
    "rate": _rate,
    "difference": _difference,
    "temperature": _temperature,
    "small": _small,
    "loss": _loss,
    "flow": _flow,
    "turned_over": _turned_over,
    "count": _count,
    "drops_per_mL": _drops_per_mL,
    "share": _share,
    "ratio": lambda amount, context: Quantity(amount.value, "") if amount.ratio else None,
    "ph": lambda amount, context: Quantity(amount.value, "pH") if amount.bare and not amount.word else None,
    "alkalinity": _alkalinity,
    "fall": lambda amount, context: amount.quantity("length") if amount.per in _TIME_NAMES else None,
    "salinity_step": lambda amount, context: amount.quantity("salinity") if not amount.per else None,
}
