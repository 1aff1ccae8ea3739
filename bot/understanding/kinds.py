"""The kinds told in words (events, waits, orders, tasks, what is set up): each file offers its claims on a message."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.understanding import (
    answers,
    batches,
    controls,
    doses,
    feeding,
    history,
    livestock,
    machines,
    notes,
    pings,
    running,
    schedule,
    settings,
    stock,
    tasks,
    upkeep,
    waits,
    waters,
)
from bot.understanding.claims import Claim
from bot.understanding.hurt import hurt_claims
from bot.understanding.text import Text


def _hurt(text: Text) -> Iterable[Claim]:
    return hurt_claims(text.tokens, text.situation.people)


KINDS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    waters.claims,
    feeding.claims,
    livestock.claims,
    doses.claims,
    upkeep.claims,
    machines.claims,
    notes.claims,
    waits.claims,
    pings.claims,
    tasks.claims,
    controls.claims,
    answers.claims,
    running.claims,
    history.claims,
    settings.claims,
    stock.claims,
    batches.claims,
    schedule.claims,
    _hurt,
)
