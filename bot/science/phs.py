"""The pH that a question means."""

from __future__ import annotations

from bot.items import Quantity
from bot.science.inputs import Asked, Unanswerable, given, in_unit, reading


def ph_meant(asked: Asked) -> float:
    """The pH given, else the tank's last reading, then named in `assumed`; Unanswerable where there is none."""
    said = given(asked, "ph")
    if said is not None:
        return in_unit(Quantity(said.value, said.unit or "pH"), "pH", "ph")
    ph = reading(asked, "ph", "pH")
    if ph is None:
        raise Unanswerable("What is the pH? Without it there is no answer: send it, such as pH 8.1.")
    return ph
