"""The questions of fixtures/calc/questions-<topic>.jsonl: as a technician would text them, with what comes out.

    {"id": "q-co2-01", "input": {"text": "co2 at kh 4 ph 6.8", "units": "us"},
     "expect": {"topic": "co2", "value": 21.3, "unit": "mg/L", "tolerance": 3}, "source": "..."}

expect      the first figure, in that unit within the absolute tolerance; `topics` where several will do;
            or {"problem": "..."}: why there is no answer, in our words
source      where the figure comes from; it was worked out apart from bot/
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

from bot.items import Question, Situation
from bot.science.inputs import converted, is_unit, measures
from bot.science.topics import calculate
from bot.science.working import Known, Problem, Working
from bot.understanding.questions import asked
from bot.understanding.text import Text

FOLDER = Path(__file__).parent.parent / "fixtures" / "calc"
NOW = datetime(2026, 3, 2, 9)
SAME_SCALE = {"PSU": "ppt", "mg/L CaCO3": "mg/L"}


def rows():
    """Every row of every questions file."""
    paths = sorted(FOLDER.glob("questions-*.jsonl"))
    return [json.loads(line) for path in paths for line in path.read_text(encoding="utf-8").splitlines() if line]


def questions(text: str, units: str = "us", **situation) -> tuple[Question, ...]:
    """What the text asks."""
    return asked(Text(text, Situation(NOW, units=units, **{k: tuple(v) for k, v in situation.items()})))


def answers(text: str, units: str = "us", **situation) -> list[Working | Problem]:
    """What comes out of it, with nothing known of any tank."""
    return [calculate(question, Known(habit=units)) for question in questions(text, units, **situation)]


def is_near(value: float, unit: str, expect: dict) -> bool:
    """Whether a figure is the one expected, in whatever unit of the same kind it is shown."""
    wanted = SAME_SCALE.get(expect["unit"], expect["unit"])
    unit = SAME_SCALE.get(unit, unit)
    if unit != wanted:
        if not (is_unit(unit) and is_unit(wanted)) or measures(unit) != measures(wanted):
            return False
        value = converted(value, unit, wanted)
    return abs(value - expect["value"]) <= expect["tolerance"] * (1 + 1e-6)
