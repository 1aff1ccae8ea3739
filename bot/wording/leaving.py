"""What is said at leaving."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.waits import Shown

LEFT = "left with"


def not_yet(tank: str | None, things: Sequence[str]) -> str:
    """Something is open: all of it is named."""
    place = f", {tank}" if tank else ""
    return f"Not safe yet{place}:\n{' · '.join(things)}"


def over_meanwhile(shown: Sequence[Shown]) -> str:
    """On arrival: what was over on the way."""
    return f"Over meanwhile: {' · '.join(s.full for s in shown)}"


def open_thing(shown: Shown, since: str, missing: str, whole: bool = False) -> str:
    """ "return pump off since 09:45", "net + arch: chlorine smell?"; with its tank where that is not said (`whole`)."""
    thing = shown.full if whole else shown.thing
    return f"{thing}: {missing}" if missing else f"{thing} since {since}"


def closed(tank: str | None, clock: str, minutes: int) -> str:
    """The visit is closed."""
    length = f" ({minutes} min)" if minutes else ""
    return f"{tank} closed {clock}{length}" if tank else f"Nothing of yours is open, {clock}."


def last_look() -> str:
    """What no record knows of."""
    return "Lids on, floor dry, heater and timers on auto, doors locked?"


def why(owners: Sequence[str]) -> str:
    """A reason is asked for."""
    return f"Why leave it? {_told(owners)}"


def owner_told(owners: Sequence[str]) -> str:
    """The reason is kept."""
    return " ".join(filter(None, ("Reason kept.", _told(owners), "It goes on pinging.")))


def overridden(tank: str | None, clock: str, who: str, things: str) -> str:
    """Left with something open."""
    place = f"{tank} " if tank else ""
    return f"OVERRIDDEN {place}{clock}, {who}: left with {things}"


def left_open(who: str, tank: str | None, things: str, reason: str) -> str:
    """To the owner, at once."""
    return f'STOP {tank or "a site"}: {who} left with {things}\nReason: "{reason}"'


def may_not(tank: str | None) -> str:
    """A learner cannot leave it."""
    return f"HOLD {tank or 'here'}: in learner mode nobody leaves with something open. Ask a colleague to take it."


def more_reason(tank: str | None) -> str:
    """The reason is too short."""
    return f'HOLD {tank or "here"}: a reason needs 8 letters or more, such as "override: pump seized, client knows".'


def _told(owners: Sequence[str]) -> str:
    return f"{' and '.join(owners)} {'is' if len(owners) == 1 else 'are'} told at once." if owners else ""
