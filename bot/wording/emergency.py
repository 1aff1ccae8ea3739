"""Somebody is hurt: what saves first, and who must come."""

from __future__ import annotations

from bot.facts.load import table


def first_lines(hazard: str, call: str | None, poison: str | None) -> tuple[str, str]:
    """What to do first, and then; with the team's numbers where they are set."""
    row = table("hazards").get(hazard) or table("hazards")["hurt"]
    numbers = {"call": call or "your emergency number", "poison": poison or "your poison centre"}
    return row["first"].format(**numbers), row["then"].format(**numbers)


def told_others(names: list[str], place: str | None) -> str:
    """Who has been told."""
    where = f" ({place})" if place else ""
    return f"Told: {', '.join(names)}{where}." if names else "Nobody else is on the team's list: shout for help."


def alarm(who: str, hurt: str | None, words: str, place: str | None, address: str | None, desk: str | None) -> str:
    """To everybody who can help."""
    person = hurt or f"Somebody (from {who})"
    first = f'STOP {person} is hurt{f" at {place}" if place else ""}: "{words}"'
    where = " · ".join(filter(None, (address, desk)))
    return "\n".join(filter(None, (first, where or "Place not known: call them.", "Go, call them, or call for help.")))
