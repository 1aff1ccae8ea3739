"""What a gate says. Never that a thing is safe: CHECKED means that the checks were answered."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.quantities import number
from bot.wording.waits import Shown


def hold(what: str, says: str) -> str:
    """HOLD, and what is missing."""
    return f"HOLD {what}. {says}"


def checked(shown: Shown, clock: str) -> str:
    """The checks were answered."""
    return f"CHECKED {_placed(shown, clock)}"


def overridden(shown: Shown, clock: str, who: str, what: Sequence[str]) -> str:
    """Somebody went on without an answer, with a reason."""
    return f"OVERRIDDEN {_placed(shown, clock)}, {', '.join(what)} ({who})"


def reason_kept(owners: Sequence[str]) -> str:
    """Who will see the reason."""
    return f"Reason kept; {' and '.join(owners)} see{'s' if len(owners) == 1 else ''} it." if owners else "Reason kept."


def no_override(what: str, allowed: Sequence[str]) -> str:
    """This person may not go on past it."""
    who = f"only the {' or '.join(allowed)} may" if allowed else "nobody may"
    return f"HOLD {what}: {who} override this. It stays out."


def more_reason(what: str) -> str:
    """The reason is too short."""
    return f'HOLD {what}: a reason needs 8 letters or more, such as "override: only a top-off".'


def again(step: str, minutes: float) -> str:
    """Back a step."""
    return f"{step.capitalize()} {number(minutes)} min, then both checks again."


def _placed(shown: Shown, clock: str) -> str:
    return f"{shown.place} {clock}: {shown.what}" if shown.place else f"{clock}: {shown.what}"
