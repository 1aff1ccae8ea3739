"""What somebody who learns reads: one step, its reason, the question passed on and the answer to it."""

from __future__ import annotations

from bot.facts.load import table
from bot.wording.entries import name


def step(tank: str, what: str, number: int, of: int) -> str:
    """ "Quillow reef, step 3 of 13: power off"."""
    return f"{tank}, step {number} of {of}: {what}"


def why(what: str) -> str:
    """Why a step is there."""
    rows = {row["name"]: row["why"] for row in table("visit_steps")["steps"]}
    return str(rows.get(what, f"{what}: a job of this visit, noted by somebody of the team."))


def all_done() -> str:
    """The last step is done."""
    return "That was the last step. Send leaving when you go."


def ask_label(who: str) -> str:
    """ "Ask Ines"."""
    return f"Ask {name(who)}"[:18]
