"""How a worked answer is said: the figure first, then what was assumed, one line of caution, the rest on request."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import floor, log10

from bot.facts.load import table
from bot.science.working import Figure, Problem, Working
from bot.wording.quantities import unit_word

_MOST_ASSUMED = 2


def reply_lines(worked: Working | Problem, tank: str | None = None) -> list[str]:
    """The answer in at most four lines: figures, assumptions, the first caution. A Problem is its own sentence.

    tank   the tank that the question was about: it stands first where the record of it went into the sum
    """
    if isinstance(worked, Problem):
        return [worked.problem]
    first, *others = _grouped(worked.figures)
    used = tank if tank and any(f"on record for {tank}" in each for each in worked.assumed) else None
    lines = [f"{used}: {_figure_line(first).replace(': ', ' ', 1)}" if used else _figure_line(first)]
    lines += ["; ".join(_figure_line(group) for group in others)] if others else []
    lines += [_assumed_line(worked.assumed, used)] if worked.assumed else []
    return lines + list(worked.cautions[:1])


def full_lines(worked: Working | Problem) -> list[str]:
    """Everything behind [Steps]: how it was worked out, all that was assumed, each caution in full, the sources."""
    if isinstance(worked, Problem):
        return [worked.problem]
    assumed = [f"assumed: {each}" for each in worked.assumed]
    cautions = [_in_full(short) for short in worked.cautions]
    return [*worked.steps, *assumed, *cautions, f"sources: {'; '.join(worked.sources) or 'none'}"]


def figure(one: Figure) -> str:
    """A figure with its unit, as fine as its instrument or measure: "1450 g", "2 1/2 tsp level"."""
    if one.unit in ("tsp", "tbsp", "cup"):
        return _spoons(one.value * _hand(one.unit))
    word = table("shown_figures")["words"].get(one.unit, unit_word(one.unit))
    value = rounded(one.value, one.unit)
    return f"{value} {word[:-1] if (value, word) == ('1', 'days') else word}".strip()


def rounded(value: float, unit: str) -> str:
    """The value with the decimals or significant digits of facts/shown_figures.toml."""
    shown = table("shown_figures")
    if unit in shown["decimals"]:
        return _decimals(value, _enough(value, shown["decimals"][unit]))
    digits = shown["significant"].get(unit, shown["significant"]["figures"])
    return _significant(value, digits)


def _figure_line(group: Sequence[Figure]) -> str:
    """Figures of one thing: the first, the others in brackets."""
    least = table("shown_figures")["least"]
    name, said = (
        group[0].name,
        [figure(each) for each in group if _tells(each, least)] or [figure(group[0])],
    )
    said += [_by_hand(group[0])] if _by_hand(group[0]) and len(said) < 3 else []
    more = [each for each in dict.fromkeys(said[1:]) if each != said[0]]
    name = "" if said[0].endswith(f" {name}") else f"{name}: "
    return f"{name}{said[0]}" + (f" ({', '.join(more)})" if more else "")


def _tells(one: Figure, least: Mapping[str, float]) -> bool:
    """Whether the unit is worth showing: no tenth of a pound, and nobody counts sixty cups."""
    cups = one.value * _hand(one.unit) / _hand("cup") if one.unit in ("tsp", "tbsp", "cup") else 0.0
    return one.value >= least.get(one.unit, one.value) and cups <= _MOST_CUPS


_MOST_CUPS = 16.0


def _grouped(figures: Sequence[Figure]) -> list[list[Figure]]:
    """Figures of the same thing in other units side by side ("amount", "amount, level")."""
    groups: list[list[Figure]] = []
    for each in figures:
        same = next((g for g in groups if g[0].name == each.name.split(", ")[0]), None)
        if same:
            same.append(each)
        else:
            groups.append([each])
    return groups


def _assumed_line(assumed: Sequence[str], tank: str | None = None) -> str:
    """The first assumptions, each in its main words; all of them in full stand behind [Steps]."""
    more = len(assumed) - _MOST_ASSUMED
    rest = f"; and {more} more (steps)" if more > 0 else ""
    return f"assumed: {'; '.join(_short(each, tank) for each in assumed[:_MOST_ASSUMED])}{rest}"


def _short(assumed: str, tank: str | None) -> str:
    """An assumption up to what explains it, its units as they are written."""
    text = re.split(r"; |\. | \(|: ", assumed.replace(f" for {tank}", "") if tank else assumed, maxsplit=1)[0]
    return re.sub(r"\bph now ([\d.]+) pH\b", r"pH now \1", re.sub(r"\b(degF|degC)\b", lambda m: unit_word(m[1]), text))


def _by_hand(one: Figure) -> str:
    """Millilitres a spoon or cup can measure, in those."""
    spoonful = _hand("tsp") / 2 <= one.value <= 4 * _hand("cup")
    return _spoons(one.value) if one.unit == "mL" and spoonful else ""


def _spoons(volume_mL: float) -> str:
    """The largest level measure that holds at least one, in quarters of it."""
    unit = next((unit for unit in ("cup", "tbsp") if volume_mL >= _hand(unit)), "tsp")
    quarters = round(volume_mL / _hand(unit) * 4)
    whole, part = divmod(max(quarters, 1), 4)
    shown = " ".join(each for each in (str(whole) if whole else "", _QUARTERS[part]) if each)
    return f"about {shown} level {unit}{'s' if unit == 'cup' and quarters > 4 else ''}"


_QUARTERS = ("", "1/4", "1/2", "3/4")


def _hand(unit: str) -> float:
    return float(table("shown_figures")["hand"][unit]["value"])


def _enough(value: float, decimals: int) -> int:
    """More decimals where the value would vanish otherwise: 0.041 mg/L, 0.3 days."""
    if value == 0 or abs(value) >= 10**-decimals:
        return decimals
    return 1 - floor(log10(abs(value)))


def _decimals(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _significant(value: float, digits: int) -> str:
    if value == 0:
        return "0"
    decimals = max(0, digits - 1 - floor(log10(abs(value))))
    coarse = round(value, digits - 1 - floor(log10(abs(value))))
    return _decimals(coarse, decimals)


def _in_full(short: str) -> str:
    full: dict[str, str] = {
        each["short"]: each["full"] for each in table("cautions").values() if isinstance(each, dict)
    }
    return full.get(short, short)
