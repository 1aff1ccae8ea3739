"""What is said when a wait ends after its owner has left."""

from __future__ import annotations

from collections.abc import Sequence

from bot.wording.quantities import number
from bot.wording.waits import Shown


def going_back(shown: Shown, minutes: float) -> str:
    """The ladder gives the drive its time."""
    return f"{shown.full}: yours, asked again in {number(minutes)} min."


def not_for_the_desk(shown: Shown) -> str:
    """Nothing that the desk may do."""
    return f"{shown.full}: not for the desk (bleach, plugs, pumps, wet floors). Go back or hand over."


def to_say(shown: Shown, words: str, contact: str | None) -> str:
    """The sentences to say on the phone."""
    return f"Next ring {contact or 'the site'} about {shown.full}. Say: {words}"


def desk_asked(office: Sequence[str]) -> str:
    """Who rings the desk."""
    return f"{' and '.join(office)} asked to ring the desk. It stays yours."
