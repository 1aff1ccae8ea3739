"""Numbers as a technician reads them. Rounding happens here and only in this room."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity, Reading


def number(value: float, digits: int | None = None) -> str:
    """The value with at most `digits` decimals, no trailing zeros; without `digits` as it was typed."""
    text = f"{value:.{digits}f}" if digits is not None else f"{value:.10g}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def in_unit(value: float, unit: str | None, digits: int | None = None) -> str:
    """The value as it is written in its unit: a specific gravity has three decimals at the least, "1.020"."""
    if unit != "SG":
        return number(value, digits)
    return max(f"{value:.3f}", number(value, 4), key=len)


def as_instrument(value: float, unit: str) -> str:
    """The value in its unit, no finer than its instruments; of a concentration two decimals where it is small."""
    fine = 0 if abs(value) >= 20 else 1 if abs(value) >= 2 else 2
    return in_unit(value, unit, _DIGITS.get(unit, fine))


_DIGITS = {
    "SG": 4, "ppt": 1, "PSU": 1, "degF": 1, "degC": 1, "pH": 2, "dKH": 1, "dGH": 1, "meq/L": 2, "mg/L CaCO3": 0,
    "mV": 0, "uS/cm": 0, "mS/cm": 1,
}  # fmt: skip


def unit_word(unit: str) -> str:
    """How a unit is shown: "°F" for degF, nothing where the name of the parameter says it."""
    return str(table("shown")["units"].get(unit, unit))


def quantity(value: float, unit: str | None, digits: int | None = None) -> str:
    """A value with its unit: "20 %", "40 L"."""
    return f"{in_unit(value, unit, digits)} {unit_word(unit or '')}".strip()


def short_name(parameter: str) -> str:
    """The name that stands before a value: "alk", "NO3", "" for a temperature."""
    return str(table("shown")["parameters"].get(parameter, parameter))


def full_name(parameter: str) -> str:
    """The name where no value follows: "temperature", "alk"."""
    shown = table("shown")
    return str(shown["long"].get(parameter) or shown["parameters"].get(parameter) or parameter)


def reading(item: Reading) -> str:
    """A reading as it is quoted back: "78.4 °F", "pH 8.2", "NO3 below 5 mg/L", "NO3 10 to 20 mg/L"."""
    name = _name(item)
    value = in_unit(item.value, item.unit)
    if item.low is not None and item.high is not None:
        value = f"{in_unit(item.low, item.unit)} to {in_unit(item.high, item.unit)}"
    elif item.below:
        value = f"below {value}" if item.value else "not detected"
    elif item.beyond:
        return f"{name} off the chart"
    elif item.above:
        value = f"above {value}"
    elif item.about:
        value = f"about {value}"
    shown = f"{name} {value}" if item.below and not item.value else f"{name} {value} {unit_word(item.unit)}"
    return " ".join((shown + _tail(item)).split())


def value_of(item: Reading) -> Quantity:
    """The reading's value as a quantity."""
    return Quantity(item.value, item.unit)


def _name(item: Reading) -> str:
    if item.parameter == "salinity" and item.unit != "SG":
        return "salinity"
    return short_name(item.parameter)


def _tail(item: Reading) -> str:
    basis = {"N": " as N", "P": " as P", "ion": ""}.get(item.basis or "", "")
    where = table("shown")["of"].get(item.of, "")
    place = item.vat or where
    return basis + (f" ({place})" if place else "")
