"""Litres and gallons of a tank from its shape and measures; how high a volume stands; what the water weighs."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.answers import in_units, mass_figures, n, volume_figures, working
from bot.science.density import sea_density_kg_L
from bot.science.inputs import Asked, Lacking, Unanswerable, amount, ask, given, in_unit, volume_L, word
from bot.science.shapes import SHAPES, Measures, level_cm, water_L
from bot.science.water import FRESH_WORDS, temperature_C
from bot.science.working import Figure, Working

_SOURCES = ("geometry",)
_SEA_PSU = 35.0


def volume(asked: Asked) -> Working:
    """Net water volume of a tank or a system, the height at which a volume stands, or the weight of the water."""
    return _UNKNOWNS[ask(asked)](asked)


def _volume(asked: Asked) -> Working:
    tank, sump = _tank_L(asked), amount(asked, "volume_2", "L") or 0.0
    net = _less_displaced(asked, tank, sump)
    figures = (*volume_figures(asked, "water", net), *_per_level(asked))
    return working(asked, figures, _steps(asked, tank, sump, net), ("net_volume",), _SOURCES)


def _height(asked: Asked) -> Working:
    shape, litres = _shape(asked), volume_L(asked)
    level = level_cm(shape, _inside(asked, shape), litres)
    if level is None:
        raise Unanswerable(f"A bowl of that size does not hold {litres:.4g} L. Send its diameter or the volume again.")
    order = ("in", "cm") if _in_inches(asked) else ("cm", "in")
    steps = (f"{n(litres)} L over the inside floor stands {n(level)} cm high",)
    return working(asked, in_units("water level", level, "cm", *order), steps, (), _SOURCES)


def _weight(asked: Asked) -> Working:
    net = _less_displaced(asked, _tank_L(asked), amount(asked, "volume_2", "L") or 0.0)
    salinity, temp = _salinity(asked), temperature_C(asked)
    kg = net * sea_density_kg_L(salinity, temp)
    figures = (*_kg_or_lb(asked, kg), *volume_figures(asked, "water", net))
    steps = (f"{n(net)} L x {n(kg / net)} kg/L = {n(kg)} kg",)
    return working(asked, figures, steps, ("lifting",), (*_SOURCES, "EOS80"))


def _tank_L(asked: Asked) -> float:
    """The tank's water: from its measures where there are any, else the volume that was said or is on record."""
    if not any(given(asked, each) for each in ("length", "width", "height", "diameter", "radius", "side", "depth")):
        return volume_L(asked)
    shape = _shape(asked)
    inside, level = _inside(asked, shape), _level_cm(asked)
    if shape == "bowl" and level > 2 * inside.radius_cm:
        raise Unanswerable(f"Water {level:.4g} cm high does not fit into a bowl {2 * inside.radius_cm:.4g} cm across.")
    return water_L(shape, inside, level)


def _shape(asked: Asked) -> str:
    said = word(asked, "shape")
    if said in SHAPES:
        return str(said)
    if said is not None:
        raise Unanswerable(f"There is no sum for a tank shaped as a {said}. Send one of: {', '.join(sorted(SHAPES))}.")
    return _shape_of_measures(asked)


def _shape_of_measures(asked: Asked) -> str:
    round_one = given(asked, "diameter") or given(asked, "radius")
    shape = "cylinder" if round_one else "bow_front" if given(asked, "bow") else "box"
    asked.assume(f"the tank is a {shape.replace('_', ' ')}")
    return shape


def _inside(asked: Asked, shape: str) -> Measures:
    outside, glass = _outside(asked, shape), amount(asked, "glass", "cm")
    if glass is None:
        asked.assume("the measures are those of the inside (send the thickness of the glass if they are not)")
        return outside
    inside = SHAPES[shape].inside(outside, glass)
    if min(_of(inside, each) for each in SHAPES[shape].needs) <= 0:
        raise Unanswerable(f"Glass {glass:.4g} cm thick leaves no room inside these measures. Send them again.")
    return inside


def _outside(asked: Asked, shape: str) -> Measures:
    return Measures(**{f"{each}_cm": _measure(asked, shape, each) for each in SHAPES[shape].needs})


def _measure(asked: Asked, shape: str, name: str) -> float:
    said = amount(asked, name, "cm")
    if said is None and name == "radius":
        said = _half_diameter(asked)
    if said is None and name == "side":
        said = amount(asked, "length", "cm")
    if said is None:
        needs = ", ".join(SHAPES[shape].needs)
        raise Lacking(
            name,
            Quantity(30.0, "cm"),
            f"The {name} is missing. A {shape.replace('_', ' ')} needs {needs} and the height, in or cm.",
        )
    return said


def _half_diameter(asked: Asked) -> float | None:
    across = amount(asked, "diameter", "cm")
    return None if across is None else across / 2


def _level_cm(asked: Asked) -> float:
    """Height of the water: the level said, else the height less the gap under the rim and the floor's glass."""
    level, height = amount(asked, "depth", "cm"), amount(asked, "height", "cm")
    if level is not None:
        return _not_over(level, height)
    if height is None:
        raise Lacking(
            "height",
            Quantity(30.0, "cm"),
            "The height of the tank or of the water is missing. Send it, such as 20 in or 50 cm.",
        )
    left = height - (amount(asked, "gap", "cm") or 0.0) - (amount(asked, "glass", "cm") or 0.0)
    if left <= 0:
        raise Unanswerable("The gap below the rim is as high as the tank. Send both heights again.")
    return left


def _not_over(level: float, height: float | None) -> float:
    if height is not None and level > height:
        raise Unanswerable(f"Water {level:.4g} cm high does not fit into a tank {height:.4g} cm high. Send both again.")
    return level


def _less_displaced(asked: Asked, tank: float, sump: float) -> float:
    displaced = given(asked, "displaced")
    if displaced is None:
        return tank + sump
    whole = tank + sump if word(asked, "displaced_from") == "system" else tank
    if sump and displaced.unit == "%" and word(asked, "displaced_from") is None:
        asked.assume(f"the {displaced.value:g} % are of the tank, not of the sump (say `of the system` if of both)")
    lost = (
        whole * in_unit(displaced, "%", "displaced") / 100
        if displaced.unit == "%"
        else in_unit(displaced, "L", "displaced")
    )
    if lost >= whole:
        raise Unanswerable(f"Rock and sand cannot take all of {whole:.4g} L. Send what they displace again.")
    return tank + sump - lost


def _per_level(asked: Asked) -> tuple[Figure, ...]:
    """What an inch (or a centimetre) of level holds, for tanks with upright walls."""
    if word(asked, "shape") == "bowl" or not any(given(asked, each) for each in ("height", "depth")):
        return ()
    step, unit = (2.54, "inch") if _in_inches(asked) else (1.0, "cm")
    shape = _shape(asked)
    return volume_figures(asked, f"per {unit} of level", water_L(shape, _inside(asked, shape), step))[:1]


def _in_inches(asked: Asked) -> bool:
    said = [each.unit for each in asked.question.inputs.values() if not isinstance(each, str)]
    return any(unit in ("in", "ft") for unit in said) or (asked.known.habit == "us" and "cm" not in said)


def _salinity(asked: Asked) -> float:
    if word(asked, "water") in FRESH_WORDS:
        return 0.0
    asked.assume(f"sea water of {_SEA_PSU:g} ppt (fresh water weighs 2.6 % less)")
    return _SEA_PSU


def _kg_or_lb(asked: Asked, kg: float) -> tuple[Figure, ...]:
    grams = mass_figures(asked, "weight of the water", kg * 1000)
    wanted = word(asked, "to_unit")
    if wanted == grams[0].unit:
        return grams
    order = ("lb", "kg") if asked.known.habit == "us" else ("kg", "lb")
    return in_units("weight of the water", kg, "kg", *order)


def _steps(asked: Asked, tank: float, sump: float, net: float) -> tuple[str, ...]:
    measured = given(asked, "height") or given(asked, "depth")
    shape = f"{_shape(asked).replace('_', ' ')} to the water line" if measured else "tank"
    whole = (f"{shape}: {n(tank)} L",)
    more = (f"with the sump: {n(tank)} + {n(sump)} = {n(tank + sump)} L",) if sump else ()
    less = (f"less what rock and sand take: {n(net)} L",) if net != tank + sump else ()
    return whole + more + less


def _of(measures: Measures, name: str) -> float:
    found: float = getattr(measures, f"{name}_cm")
    return found


_UNKNOWNS = {"volume": _volume, "height": _height, "weight": _weight}
