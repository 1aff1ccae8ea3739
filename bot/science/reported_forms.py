"""How a concentration is reported: nitrate or its nitrogen, phosphate or its phosphorus, ... ."""

from __future__ import annotations

from typing import Any

from bot.facts.load import table
from bot.items import Quantity
from bot.science.answers import n
from bot.science.inputs import Asked, Unanswerable, measures, word_as_said, words


def in_form(asked: Asked, said: Quantity) -> tuple[Quantity, tuple[str, ...], tuple[str, ...]]:
    """The same concentration in the form asked for, with its step and source; unchanged where no form was named."""
    form, to_form = word_as_said(asked, "form"), word_as_said(asked, "to_form")
    if (form is None and to_form is None) or measures(said.unit) != "concentration":
        return said, (), ()
    form, to_form = _both(asked, form, to_form)
    factor = _form(to_form)["value"] / _form(form)["value"]
    value = said.value * factor
    step = f"{words(said)} as {form} x {factor:.5g} = {n(value)} {said.unit} as {to_form}"
    return Quantity(value, said.unit), (step,), ("IUPAC_weights",)


def _both(asked: Asked, form: str | None, to_form: str | None) -> tuple[str, str]:
    for each in (form, to_form):
        if each is not None and each not in table("forms"):
            raise Unanswerable(f"{each} is no form that is known here. Send one of: {', '.join(table('forms'))}.")
    known_form = form or str(_form(to_form or "")["partner"])
    goal = to_form or str(_form(known_form)["partner"])
    if form is None or to_form is None:
        asked.assume(f"from {known_form} to {goal}")
    if _form(known_form)["family"] != _form(goal)["family"]:
        raise Unanswerable(f"{known_form} and {goal} are different things: one cannot be reported as the other.")
    return known_form, goal


def _form(name: str) -> dict[str, Any]:
    found: dict[str, Any] = table("forms")[name]
    return found
