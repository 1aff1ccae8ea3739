"""Which water is meant: its salinity from whatever scale was said, its temperature, and how salinity is shown again."""

from __future__ import annotations

from bot.facts.load import table
from bot.items import Quantity
from bot.science.inputs import (
    Asked,
    Unanswerable,
    check_limit,
    customary,
    given,
    in_unit,
    measures,
    word,
    words,
)
from bot.science.salinity import (
    HIGHEST_PSU,
    salinity_from_conductivity,
    salinity_from_salt,
    salinity_from_salt_g_L,
    salinity_from_sg,
    sg_from_salinity,
)
from bot.science.working import Figure

PURE_WORDS = ("ro", "rodi", "ro/di", "di", "distilled")
FRESH_WORDS = ("fresh", "freshwater", "fresh water", "tap", "rain", *PURE_WORDS)
SEA_WORDS = ("sea", "salt", "marine", "seawater", "saltwater", "reef")
_COMPENSATED_TO_C = 25.0
_DEFAULT_REFERENCE = "20/20"


def salinity_given(asked: Asked, name: str) -> float | None:
    """The input as practical salinity (ppt, PSU), from any scale, or a word for fresh or sea water."""
    said = given(asked, name)
    if said is not None:
        return practical(asked, said, name)
    if word(asked, name) in SEA_WORDS:
        return customary(asked, "sea_water")
    return 0.0 if word(asked, name) in FRESH_WORDS else None


def salinity_now(asked: Asked, name: str = "from") -> float | None:
    """The salinity the question gives, else the tank's last confirmed reading, then named in `assumed`."""
    said = salinity_given(asked, name)
    return said if said is not None else recorded_salinity(asked, "readings", "now")


def salinity_wanted(asked: Asked, name: str = "to") -> float | None:
    """The salinity the question wants, else the tank's target, then named in `assumed`."""
    said = salinity_given(asked, name)
    return said if said is not None else recorded_salinity(asked, "targets", "target")


def recorded_salinity(asked: Asked, kept_in: str, what: str) -> float | None:
    """The tank's recorded salinity as practical salinity, named in `assumed`; None where there is none."""
    kept = getattr(asked.known, kept_in).get("salinity")
    if kept is None:
        return None
    asked.assume(f"salinity {what} {words(kept)}, on record for {asked.known.tank or 'the tank'}")
    return practical(asked, kept, "salinity on record")


def temperature_C(asked: Asked, name: str = "temperature") -> float:
    """Water temperature: from the question, else the last reading, else the customary one, named in `assumed`."""
    said = given(asked, name)
    if said is not None:
        return in_unit(said, "degC", name)
    kept = asked.known.readings.get("temperature")
    if kept is None:
        return customary(asked, "water_temperature")
    asked.assume(f"water at {words(kept)}, on record for {asked.known.tank or 'the tank'}")
    return in_unit(kept, "degC", "temperature on record")


def practical(asked: Asked, quantity: Quantity, name: str) -> float:
    """A salinity of any scale as practical salinity; Unanswerable where no water of 0 to 60 ppt can show it."""
    check_limit(quantity, name)
    found = _from_scale(asked, quantity, name)
    if found is None or found > HIGHEST_PSU:
        raise Unanswerable(
            f"{name} {words(quantity)} cannot be: water of a tank lies between 0 and {HIGHEST_PSU:g} ppt."
        )
    return found


def reference(asked: Asked) -> str:
    """What SG readings are set for (a key of facts/instruments.toml): said, else on record, else 20/20."""
    said = word(asked, "reference") or asked.known.hydrometer
    if said is not None:
        found = called(said)
        if found:
            return found
    other = ", ".join(key for key in table("instruments")["reference"] if key != _DEFAULT_REFERENCE)
    asked.assume(f"SG read at {_DEFAULT_REFERENCE} °C, as on most refractometers (other instruments: {other})")
    return _DEFAULT_REFERENCE


def called(said: str) -> str | None:
    """The key of the reference that a person or a team calls so; None where it is not known."""
    plain = said.lower().replace("°", "").replace(" ", "")
    names = table("instruments")["called"]
    return next((key for key, known_as in names.items() if plain in [n.replace(" ", "") for n in known_as]), None)


def salinity_figures(asked: Asked, name: str, salinity_PSU: float) -> tuple[Figure, ...]:
    """A salinity in ppt and as SG, in the order of `to_unit`, else of the scale that the question used."""
    ppt = Figure(name, salinity_PSU, "ppt")
    if not _speaks_sg(asked):
        return (ppt,)
    return (Figure(name, sg_from_salinity(salinity_PSU, reference(asked)), "SG"), ppt)


def _speaks_sg(asked: Asked) -> bool:
    wanted = word(asked, "to_unit")
    if wanted is not None:
        return wanted == "sg"
    return any(isinstance(each, Quantity) and each.unit == "SG" for each in asked.question.inputs.values())


def _from_scale(asked: Asked, quantity: Quantity, name: str) -> float | None:
    kind = measures(quantity.unit)
    if quantity.unit == "SG":
        return salinity_from_sg(quantity.value, reference(asked))
    if kind == "salinity":
        return quantity.value
    if kind == "conductivity":
        return _from_conductivity(asked, quantity)
    if kind == "share":
        return salinity_from_salt(quantity.value * 10)
    return salinity_from_salt_g_L(in_unit(quantity, "g/L", name), _COMPENSATED_TO_C)


def _from_conductivity(asked: Asked, quantity: Quantity) -> float:
    if word(asked, "compensated") == "no":
        return salinity_from_conductivity(in_unit(quantity, "mS/cm"), temperature_C(asked))
    asked.assume("conductivity as the meter shows it, compensated to 25 °C")
    return salinity_from_conductivity(in_unit(quantity, "mS/cm"), _COMPENSATED_TO_C)
