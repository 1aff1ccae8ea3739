"""New water beside a tank, in words: how far apart, what to do first, what comes out of the change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.facts.load import table
from bot.items import Reading
from bot.rules.matching import Gap, Mixture, Remedy
from bot.wording import batches, quantities
from bot.wording.quantities import full_name, number


def value(item: Reading) -> str:
    """A reading without its place: "SG 1.0252"."""
    return quantities.reading(Reading(item.parameter, item.value, item.unit, below=item.below))


def gap(found: Gap, us: bool) -> str:
    """ "64 °F against 78 °F in the tank"."""
    return f"{_shown(found.parameter, found.new, us)} against {_shown(found.parameter, found.tank, us)} in the tank"


def first(found: Remedy, us: bool, assumed: bool) -> str:
    """What to do first: "heat 16 gal from 64 to 78 °F: 300 W (assumed) 1.8 h"."""
    return _FIRST[found.kind](found, us, assumed)


def not_known(missing: Mapping[str, Sequence[str]], batch: int, tank: str) -> str:
    """What has not been measured lately: "batch 3: temperature; Oak lobby: pH"."""
    said = [(f"batch {batch}", missing["batch"]), (tank, missing["tank"])]
    return "; ".join(f"{name}: {', '.join(map(full_name, what))}" for name, what in said if what)


def still_to_test(names: Sequence[str]) -> str:
    """ "Still to test: temperature, pH."."""
    return f"Still to test: {', '.join(_NAMES.get(n) or full_name(n) for n in names)}."


def matches(vat: str, tank: str, after: Mixture | None, us: bool) -> str:
    """ "Vat A matches Oak lobby; after the change 78.1 °F, 34.8 ppt"."""
    mixed = _mixed(after, us) if after else ""
    return f"{vat} matches {tank}" + (f"; after the change {mixed}" if mixed else "")


def differs(vat: str, tank: str, gaps: str) -> str:
    """Not yet: what is apart."""
    return f"{vat} is not {tank}'s water yet: {gaps}"


def ammonia(after: Mixture) -> str:
    """Higher pH sets ammonia free."""
    free = f"{_free(after.free_now)} to as much as {_free(after.free_after)} mg/L"
    return f"Watch: its pH sets ammonia free, from {free}: smaller change, or lower its pH first"


def limits(parameters: Sequence[str]) -> str:
    """ "1 °C, 1 ppt, pH 0.3"."""
    rows = table("batches")["match"]
    shown = {"temperature": "{} °C", "salinity": "{} ppt", "ph": "pH {}"}
    return ", ".join(shown[p].format(number(rows[p]["value"])) for p in parameters)


def mixed(after: Mixture, us: bool) -> str:
    """The mixture in a few words; "" where nothing is known of it."""
    return _mixed(after, us)


def _mixed(after: Mixture, us: bool) -> str:
    warm = [_shown("temperature", after.temperature, us)] if after.temperature is not None else []
    salt = [_shown("salinity", after.salinity, us)] if after.salinity is not None else []
    return ", ".join((*warm, *salt))


def _free(mg_L: float | None) -> str:
    return number(mg_L or 0.0, 3)


def _shown(parameter: str, figure: float, us: bool) -> str:
    if parameter == "temperature":
        return f"{number(figure * 9 / 5 + 32, 0 if us else 1)} °F" if us else f"{number(figure, 1)} °C"
    return f"pH {number(figure, 1)}" if parameter == "ph" else f"{number(figure, 1)} ppt"


def _degrees(found: Remedy, us: bool) -> str:
    ends = [number(c * 9 / 5 + 32, 0) if us else number(c, 1) for c in (found.start, found.goal)]
    return f"from {ends[0]} to {ends[1]} {'°F' if us else '°C'}"


def _heat(found: Remedy, us: bool, assumed: bool) -> str:
    power = f"{number(found.watts, 0)} W{' (assumed)' if assumed else ''}"
    return f"heat {batches.water(found.litres, us)} {_degrees(found, us)}: {power} {_hours(found.hours)}"


def _hours(hours: float) -> str:
    return f"{number(hours, 1)} h" if hours >= 1 else f"{number(hours * 60, 0)} min"


def _cool(found: Remedy, us: bool, assumed: bool) -> str:
    return f"let {batches.water(found.litres, us)} cool {_degrees(found, us)}"


def _salt(found: Remedy, us: bool, assumed: bool) -> str:
    return f"dissolve {batches.mass(found.salt_g, us)} salt in {batches.water(found.litres, us)} of it, test again"


def _thin(found: Remedy, us: bool, assumed: bool) -> str:
    return f"add {batches.water(found.litres, us)} fresh water to it, test again"


def _air(found: Remedy, us: bool, assumed: bool) -> str:
    return "air and stir it an hour, then pH again"


_FIRST = {"heat": _heat, "cool": _cool, "salt": _salt, "thin": _thin, "air": _air}
_NAMES = {"clear": "clear", "chlorine": "total chlorine"}
