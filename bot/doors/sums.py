"""The verb `calc`: a question in words, worked out; as JSON of the contract, or in the words of the chat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from bot.facts.load import table
from bot.items import Situation
from bot.science.topics import calculate
from bot.science.working import Known, Problem, Working
from bot.understanding.questions import asked
from bot.understanding.text import Text
from bot.wording.questions import full_lines, reply_lines


def worked(text: str, situation: Situation) -> list[Working | Problem]:
    """The answer to each question of the text; nothing is known of a tank but what the text says."""
    known = Known(tank=situation.tank, habit=situation.units)
    return [calculate(question, known) for question in asked(Text(text, situation))]


def as_json(answers: list[Working | Problem]) -> dict[str, Any]:
    """The first answer as the contract writes it; those to further questions of the same text in `further`."""
    first, *further = [_one(answer) for answer in answers]
    return first | ({"further": further} if further else {})


def in_words(answers: list[Working | Problem], steps: bool) -> str:
    """What a technician reads; with `steps` also how it was worked out, cautions in full and sources."""
    parts = [[*reply_lines(each), *(full_lines(each) if steps else ())] for each in answers]
    return "\n\n".join("\n".join(lines) for lines in parts)


def page() -> str:
    """What can be asked, one example a topic."""
    topics: Mapping[str, Mapping[str, Any]] = table("topics")
    return "\n".join(f"{topic}: {row['about']}\n    {row['example']}" for topic, row in topics.items())


def _one(answer: Working | Problem) -> dict[str, Any]:
    if isinstance(answer, Problem):
        return {"topic": answer.topic, "problem": answer.problem}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(answer).items()}
