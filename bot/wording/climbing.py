"""What is said up the ladder: to whoever is called in, and to the rest once somebody has it."""

from __future__ import annotations

from bot.wording.waits import Shown


def called_in(shown: Shown, why: str, meanwhile: str, desk: str, address: str = "") -> str:
    """The call to somebody else: what is over, who is silent, what happens meanwhile, the desk's number."""
    if shown.kind.alone:
        return _person(shown, why, desk, address)
    first = f"OUT NOW {shown.full}, over {shown.due:%H:%M}: {why}"
    rest = [f"{meanwhile[:1].upper()}{meanwhile[1:]}." if meanwhile else "", desk]
    return "\n".join([first, *(line for line in rest if line)])


def silent(who: str, minutes: int) -> str:
    """ "odile silent 5 min"."""
    return f"{who} silent {minutes} min"


def when_parked(name: str) -> str:
    """To a driver: nothing to read at the wheel."""
    return f"Call {name} when parked."


def has_it(shown: Shown, who: str) -> str:
    """To the rest: somebody has it."""
    return f"{shown.full}: {who} is on it."


def yours_now(shown: Shown) -> str:
    """To whoever took it."""
    return f"Yours now: {shown.full}, over {shown.due:%H:%M}"


def nobody_else(rung: str | None, desk: str) -> str:
    """Nobody is left to ask; its holder is `rung`, where that is still to be done."""
    return f"Nobody else to ask{f': {rung} is rung' if rung else ''}. {desk or 'Call the site.'}"


def _person(shown: Shown, why: str, desk: str, address: str) -> str:
    first = f"HOLD {why}, check was due {shown.due:%H:%M}{f' at {shown.place}' if shown.place else ''}"
    go = "Go, send someone, or call the emergency number. This is no safety device."
    return "\n".join(line for line in (first, address, go, desk) if line)
