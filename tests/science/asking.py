"""Short ways for tests to ask the room a question and look at the answer."""

from __future__ import annotations

from bot.items import Quantity, Question
from bot.science.topics import calculate
from bot.science.working import Known, Problem, Working

Said = tuple[float, str] | str


def worked(topic: str, known: Known | None = None, **inputs: Said) -> Working:
    """The worked answer; an input is a word or (number, unit), `from_` stands for `from`."""
    got = calculate(_question(topic, inputs), known or Known())
    assert isinstance(got, Working), got
    return got


def refused(topic: str, known: Known | None = None, **inputs: Said) -> str:
    """The words of the refusal."""
    got = calculate(_question(topic, inputs), known or Known())
    assert isinstance(got, Problem), got
    return got.problem


def first(topic: str, known: Known | None = None, **inputs: Said) -> float:
    """The value of the first figure."""
    return worked(topic, known, **inputs).figures[0].value


def value(working: Working, name: str, unit: str | None = None) -> float:
    """The value of the figure of that name (and unit)."""
    return next(each.value for each in working.figures if each.name == name and unit in (None, each.unit))


def _question(topic: str, inputs: dict[str, Said]) -> Question:
    said = {name.rstrip("_"): each if isinstance(each, str) else Quantity(*each) for name, each in inputs.items()}
    return Question(topic, said)
