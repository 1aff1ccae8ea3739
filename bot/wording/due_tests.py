"""Tests that are due and were not made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.wording.quantities import full_name


def missing(found: Mapping[str, Sequence[str]]) -> str:
    """ "Not tested today, Quillow lobby: alk, NO3 (due every visit)"."""
    if len(found) == 1:
        ((tank, lacks),) = found.items()
        return f"Not tested today, {tank}: {_names(lacks)} (due)"
    return f"Not tested today: {' · '.join(f'{tank} {_names(lacks)}' for tank, lacks in found.items())} (due)"


def skipped(found: Mapping[str, Sequence[str]]) -> str:
    """It is noted that they were left out."""
    return f"Left out today: {' · '.join(f'{tank} {_names(lacks)}' for tank, lacks in found.items())}"


def send(tank: str, lacks: Sequence[str]) -> str:
    """What to send now."""
    return f"{tank} in hand again. Send: {full_name(lacks[0])} and its number."


def _names(lacks: Sequence[str]) -> str:
    return ", ".join(map(full_name, lacks))
