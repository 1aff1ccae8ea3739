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


def what_to_ask(who: str) -> str:
    """The question is wanted."""
    return f"What do you want to ask {name(who)}? Send it in one message; the tank and the step go along."


def request(who: str, question: str, at_step: str | None, card: str | None) -> str:
    """To whoever is asked, with the tank's card."""
    place = f" at the step {at_step}" if at_step else ""
    return f"{name(who)} asks{place}: {question}" + (f"\n{card}" if card else "")


def passed_on(who: str) -> str:
    """To whoever asked."""
    return f"Asked {name(who)}; the answer comes here. Go on with what you are sure of."


def answer_now(question: str) -> str:
    """To whoever answers."""
    return f"Your answer to: {question}"


def answer(who: str, question: str, text: str) -> str:
    """The answer, to whoever asked."""
    return f"{name(who)}: {text}\nYou asked: {question}"


def kept(who: str) -> str:
    """It went on, and stays."""
    return f"Told {name(who)}, and kept under how we do it."


def known(who: str, question: str, text: str) -> str:
    """What was answered before."""
    return f"{text} ({name(who)}, to: {question})"


def how_long(what: str, usual: float | None, least: float, most: float | None) -> str:
    """The team's own length of a wait."""
    if usual is None:
        return f"{what}: no usual length here; it is asked each time."
    upper = f" to {_span(most)}" if most else " at the least"
    return f"{what}: {_span(usual)} here ({_span(least)}{upper})"


def welcome(who: str) -> str:
    """The first message to somebody who learns."""
    return (
        f"{name(who)}, you're in. Try it on the practice tank:\n"
        "type: temp 25.4 ph 8.1\n"
        "Wrong? edit it or press Undo. Deleting does nothing."
    )


def practising() -> str:
    """Practice begins."""
    return "Practice tank: everything works, its clock runs 60 times as fast, nothing is stored. Type: temp 25.4 ph 8.1"


def practised() -> str:
    """Practice is over."""
    return "Practice is over; nothing of it was stored. From here on it counts."


def not_practising() -> str:
    """A button of a practice that is over."""
    return "That practice is over. Send practice to begin another."


def _span(minutes: float) -> str:
    if minutes >= 2880:
        return f"{minutes / 1440:g} days"
    return f"{minutes / 60:g} h" if minutes >= 180 else f"{minutes:g} min"
