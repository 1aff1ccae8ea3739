"""What is said when entries go to another tank."""

from __future__ import annotations

from collections.abc import Sequence

NOTHING = "Nothing of yours to move: reply to the message that is meant, with the right tank."


def which(here: str, pieces: Sequence[str]) -> str:
    """Asks which tank it was."""
    return f"{here}: {' · '.join(pieces)}. Which tank was it? Still there until you say."


def taken_off(left: Sequence[str]) -> str:
    """Where it no longer counts."""
    return f"Taken off {', '.join(left)}, with its waits."


def there_already(tank: str) -> str:
    """It is where it was to go."""
    return f"It is under {tank} already. Nothing changed."
