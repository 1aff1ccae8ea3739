"""How far a value is to be raised: from what a question or a tank's record says, counted per litre."""

from __future__ import annotations

from dataclasses import dataclass

from bot.facts.load import table
from bot.items import Quantity
from bot.science.alkalinity import alkalinity_meq_L, from_meq_L
from bot.science.answers import n
from bot.science.inputs import Asked, Unanswerable, given, in_unit, words
from bot.science.possible import possible
from bot.science.working import Figure

_SCALES = {"alkalinity": ("dKH", "meq/L", "mg/L CaCO3"), "hardness": ("dGH", "mg/L CaCO3")}
_MEQ_PER_MMOL = 2.0


@dataclass(frozen=True)
class Raise:
    """A rise of `parameter`, as meq a litre (alkalinity), mmol a litre (hardness) or mg a litre (all others)."""

    parameter: str
    per_L: float

    @property
    def counted(self) -> str:
        return {"alkalinity": "meq", "hardness": "mmol"}.get(self.parameter, "mg")

    @property
    def unit(self) -> str:
        """The unit in which the trade limits the parameter."""
        return _SCALES.get(self.parameter, ("mg/L",))[0]

    @property
    def shown(self) -> float:
        """The rise in `unit`."""
        return _shown(self.parameter, self.per_L, self.unit)


def raise_wanted(asked: Asked, parameter: str, name: str = "change") -> Raise:
    """The rise that the question wants: as a difference, or from the value now to the value wanted.

    Unanswerable where nothing says how far, or where the value would have to fall.
    """
    change = given(asked, name)
    if change is not None or name != "change":
        return Raise(parameter, _above_0(parameter, _per_L(parameter, change or Quantity(0, ""), name)))
    wanted, now = _value_wanted(asked, parameter), value_now(asked, parameter)
    if now is None:
        raise Unanswerable(f"What is the {parameter} now? Send the reading, or how far it should rise.")
    if wanted < now:
        raise Unanswerable(_falls(parameter, now, wanted))
    return Raise(parameter, _above_0(parameter, wanted - now))


def value_now(asked: Asked, parameter: str) -> float | None:
    """The value now, per litre: given, else on record (then named in `assumed`); None where neither."""
    said = given(asked, "from")
    if said is not None:
        return _per_L(parameter, said, "from")
    return _recorded(asked, asked.known.readings.get(parameter), f"{parameter} now")


def value_figures(asked: Asked, parameter: str, name: str, per_L: float) -> tuple[Figure, ...]:
    """A value or rise in the units people read it in, the one asked for first."""
    scale = _SCALES.get(parameter, ("mg/L",))
    order = sorted(scale, key=lambda unit: unit != asked.question.inputs.get("to_unit"))
    return tuple(Figure(name, _shown(parameter, per_L, unit), unit) for unit in order)


def _value_wanted(asked: Asked, parameter: str) -> float:
    said = given(asked, "to")
    if said is not None:
        return _per_L(parameter, said, "to")
    kept = _recorded(asked, asked.known.targets.get(parameter), f"{parameter} target")
    if kept is None:
        raise Unanswerable(f"To what {parameter}? Send the value wanted, or how far it should rise.")
    return kept


def _recorded(asked: Asked, kept: Quantity | None, what: str) -> float | None:
    if kept is None:
        return None
    asked.assume(f"{what} {words(kept)}, on record for {asked.known.tank or 'the tank'}")
    return _per_L(what.split()[0], kept, what)


def _per_L(parameter: str, said: Quantity, name: str) -> float:
    if parameter in _SCALES:
        unit = _SCALES[parameter][0]
        meq_L = alkalinity_meq_L(said, name)
        possible(parameter, from_meq_L(meq_L, unit), unit, name)
        return meq_L / _MEQ_PER_MMOL if parameter == "hardness" else meq_L
    if parameter not in table("usual_chemicals")["dosed"]["parameters"]:
        raise Unanswerable(f"{parameter} is not raised by a dose worked out from a volume.")
    mg_L = in_unit(Quantity(said.value, said.unit or "mg/L"), "mg/L", name)
    return possible(parameter, mg_L, "mg/L", name)


def _shown(parameter: str, per_L: float, unit: str) -> float:
    if parameter == "hardness":
        return from_meq_L(per_L * _MEQ_PER_MMOL, unit)
    return from_meq_L(per_L, unit) if parameter == "alkalinity" else per_L


def _above_0(parameter: str, rise: float) -> float:
    if not rise > 0:
        raise Unanswerable(f"The {parameter} is there already: nothing has to be added.")
    return rise


def _falls(parameter: str, now: float, wanted: float) -> str:
    unit = Raise(parameter, 0.0).unit
    shown = [n(_shown(parameter, each, unit)) for each in (now, wanted)]
    return f"{parameter} {shown[0]} to {shown[1]} {unit} is down: no dose lowers it. A water change does, ask for that."
