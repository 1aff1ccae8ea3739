"""How likely a number of a question has a meaning, beside the words around it."""

from __future__ import annotations

from dataclasses import dataclass

from bot.understanding.questions_amount import Amount, looks_like_sg


@dataclass(frozen=True)
class Context:
    """What the rest of the question tells: the habit, the parameter it is about, the units of its other numbers."""

    metric: bool = False
    parameter: str | None = None
    temperature: str | None = None
    length: str | None = None
    volume: str | None = None

    def likely(self, amount: Amount, kind: str, pull: float) -> float:
        """What speaks for this meaning of the number beside the words around it."""
        if not amount.bare or kind == "fold":
            return 0.8 + _unlike(amount, kind)
        if kind in _NEED_A_UNIT:
            return _NEEDY.get(kind, -0.5) if pull >= _NEEDED_PULL else -3.0
        return _bare_likely(amount, kind, pull)


def _unlike(amount: Amount, kind: str) -> float:
    """What speaks against a meaning although the unit allows it."""
    if kind in ("temperature", "difference") and _is_a_difference(amount) is (kind == "temperature"):
        return -1.5
    if kind == "mass" and looks_like_sg(amount.value):
        return -1.5
    if kind == "alkalinity" and amount.unit("concentration"):
        return -1.5
    stripped = kind in STRIPPED and not any(unit.measures in STRIPPED[kind][0] for unit in amount.units)
    return -1.8 if stripped else 0.0


def _is_a_difference(amount: Amount) -> bool | None:
    """Whether degrees are too few for a tank's temperature, or too many for a difference; None where either can be."""
    least = 25 if amount.unit("temperature") and amount.units[0].name == "degF" else 4
    return True if abs(amount.value) < least else False if amount.value > 40 else None


STRIPPED = {
    "parameter": (("concentration", "alkalinity", "hardness"), ("mass",)),
    "length": (("length",), ("volume",)),
    "salinity": (("salinity",), ("mass", "volume")),
}
"""A unit word behind the last number may be the unit asked for ("ca 360 to 400 grams"): the number is then bare."""


_NEED_A_UNIT = frozenset(
    ("conductivity", "volume", "small", "mass", "time", "length", "power", "share", "flow", "turnover", "difference")
)
_NEEDED_PULL = 1.5
_NEEDY = {"share": -2.0, "volume": -1.2, "small": -1.2}


def _bare_likely(amount: Amount, kind: str, pull: float) -> float:
    value = amount.value
    gravity = looks_like_sg(value)
    if kind == "salinity":
        return 1.2 if gravity else (-0.3 if pull > 1 else -1.5) - (3.0 if value > 60 else 1.5 if value > 45 else 0.0)
    if gravity:
        return -1.5
    if kind == "temperature":
        return 0.0 if 2 <= value <= 212 and (pull > 1 or value >= 10) else -1.5
    if kind == "ph":
        return 0.3 if 3 <= value <= 11 else -0.6
    if kind == "count":
        return 0.3 if value == int(value) and value <= 20 else -2.0
    return 0.0
