"""The one entrance to the room: a question and what is known of its tank become a Working or a Problem."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from bot.facts.load import table
from bot.items import Question
from bot.science.acclimation import float_time
from bot.science.ammonia import free_ammonia
from bot.science.bleach import bleach_solution
from bot.science.blending import temperature_blend
from bot.science.conversion import convert
from bot.science.dechlorination import dechlorination
from bot.science.dilution import dilution
from bot.science.dissolved_co2 import co2
from bot.science.dosing import dose
from bot.science.drip import drip_rate
from bot.science.evaporation import top_off
from bot.science.flow import turnover
from bot.science.heating import heating
from bot.science.inputs import Asked, Lacking, Unanswerable, check_numbers, word_as_said
from bot.science.mixing import salt_mix
from bot.science.oxygen import oxygen
from bot.science.rinsing import rinse
from bot.science.salinity_change import salinity_change
from bot.science.treatment import treatment
from bot.science.volume import volume
from bot.science.working import Known, Problem, Working

TOPICS: dict[str, Callable[[Asked], Working]] = {
    "salt_mix": salt_mix,
    "salinity_change": salinity_change,
    "top_off": top_off,
    "dilution": dilution,
    "rinse": rinse,
    "volume": volume,
    "turnover": turnover,
    "convert": convert,
    "dose": dose,
    "bleach_solution": bleach_solution,
    "dechlorination": dechlorination,
    "free_ammonia": free_ammonia,
    "heating": heating,
    "temperature_blend": temperature_blend,
    "float_time": float_time,
    "drip_rate": drip_rate,
    "treatment": treatment,
    "oxygen": oxygen,
    "co2": co2,
}


def calculate(question: Question, known: Known) -> Working | Problem:
    """The worked answer to a question of contract section 2, or the Problem that keeps it from one."""
    work = TOPICS.get(question.topic)
    if work is None:
        return Problem(question.topic, _unknown_topic())
    try:
        check_numbers(question)
        return work(_with_unused(Asked(question, known)))
    except Lacking as lacks:
        return Problem(question.topic, " ".join(_all_lacking(work, question, known, lacks)))
    except Unanswerable as why:
        return Problem(question.topic, str(why))


def _with_unused(asked: Asked) -> Asked:
    """Numbers of the text that have no place in the sum, and another reading as likely, are owned up to first."""
    near = table("topics").get(word_as_said(asked, "near") or "")
    if near:
        called = table("topics")[asked.question.topic]["called"]
        asked.assume(f"read as {called}, not as {near['called']}: ask again in other words if that was meant")
    guessed = word_as_said(asked, "guessed")
    if guessed:
        asked.assume(f"taken as {guessed}, as no unit was said")
    unused = word_as_said(asked, "unused")
    if unused:
        asked.assume(f"not used: {unused} (say what it is, if it matters)")
    return asked


def _all_lacking(work: Callable[[Asked], Working], question: Question, known: Known, lacks: Lacking) -> list[str]:
    """What to ask for, all at once: the first gap is filled with a possible value to see the next one."""
    asks: list[str] = []
    while str(lacks) not in asks:
        asks.append(str(lacks))
        question = replace(question, inputs={**question.inputs, lacks.name: lacks.filling})
        try:
            work(Asked(question, known))
        except Lacking as another:
            lacks = another
        except Unanswerable:
            break
    return asks


def _unknown_topic() -> str:
    return (
        "There is no calculation for this. Ask about salt, a water change, a dose, bleach, rinses, heating, a drip, "
        'a volume or flow, such as "how much salt for 40 L to 1.025".'
    )
