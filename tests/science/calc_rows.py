"""The checks of fixtures/calc/<topic>.jsonl: sums against published figures, one object a line.

    {"topic": "co2", "inputs": {"ph": {"value": 7, "unit": "pH"}}, "known": {"volume_L": 200},
     "expect": {"value": 12.3, "unit": "mg/L", "tolerance": 0.2, "name": "CO2"}, "source": "...", "how": "..."}

inputs      as the reader of questions passes them on: quantities, or words
known       what is on record of the tank, as in science/working.py; may be absent
expect      the first figure, or the one of that `name`, in that unit within the absolute tolerance;
            or {"problem": "words"} that the refusal must contain
source      where the figure comes from, in the same words for all rows of one source
how         published table, worked example, computed with ..., from memory
note        where sources disagree, or what else a reader should know; may be absent
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from bot.items import Quantity, Question
from bot.science.topics import calculate
from bot.science.working import Figure, Known, Problem, Working

FOLDER = Path(__file__).parent.parent.parent / "fixtures" / "calc"
_QUANTITIES_OF_KNOWN = ("readings", "targets", "most_per_day")


def rows() -> list[tuple[str, dict[str, Any]]]:
    """Every row with its place (file:line), those with a question in words apart."""
    paths = [path for path in sorted(FOLDER.glob("*.jsonl")) if not path.name.startswith("questions")]
    lines = [(path, n, line) for path in paths for n, line in enumerate(path.read_text("utf-8").splitlines(), 1)]
    return [(f"{path.name}:{n}", json.loads(line)) for path, n, line in lines if line.strip()]


def answer(row: Mapping[str, Any]) -> Working | Problem:
    """What science makes of a row."""
    return calculate(Question(row["topic"], quantities(row["inputs"])), known(row.get("known", {})))


def quantities(said: Mapping[str, Any]) -> dict[str, Quantity | str]:
    return {
        name: each if isinstance(each, str) else Quantity(each["value"], each["unit"]) for name, each in said.items()
    }


def known(said: Mapping[str, Any]) -> Known:
    turned = {name: quantities(each) if name in _QUANTITIES_OF_KNOWN else each for name, each in said.items()}
    return Known(**turned | ({"orders": tuple(turned["orders"])} if "orders" in turned else {}))


def figure(working: Working, expect: Mapping[str, Any]) -> Figure:
    """The figure that a row is about: by its name (the first figure's where none is said) and its unit."""
    name = expect.get("name", working.figures[0].name)
    return next(each for each in working.figures if (each.name, each.unit) == (name, expect["unit"]))


def fault(row: Mapping[str, Any]) -> str | None:
    """What is wrong with the answer to a row; None where it is right."""
    got, expect = answer(row), row["expect"]
    if "problem" in expect:
        refused = isinstance(got, Problem) and expect["problem"].lower() in got.problem.lower()
        return None if refused else f"no refusal with {expect['problem']!r}: {got}"
    if isinstance(got, Problem):
        return got.problem
    value = figure(got, expect).value
    near = abs(value - expect["value"]) <= expect["tolerance"]
    return None if near else f"{value:g} instead of {expect['value']:g} ± {expect['tolerance']:g} {expect['unit']}"
