"""How many animals there are, and how many were lost."""

from __future__ import annotations

from collections.abc import Mapping

from bot.wording.readings import ordinal


def left(name: str, count: int) -> str:
    """What stands on the list now: "firefish: 7 now"."""
    return f"{name}: {count} now" if count else f"{name}: none left on the list"


def losses(count: int, days: int) -> str:
    """Several close together: "Watch: 3rd loss in 14 days"."""
    return f"Watch: {ordinal(count)} loss in {days} days"


def living(tank: str, found: Mapping[str, int]) -> list[str]:
    """What lives there: "Quillow reef: 2 clownfish, 7 firefish"."""
    if not found:
        return [f"{tank}: no animals on the list. Send: {tank} animals: 2 clownfish, 5 cardinals"]
    return [f"{tank}: {', '.join(f'{count} {name}' for name, count in found.items())}"]
