"""The kinds told in words (events, waits, orders, tasks, what is set up): each file offers its claims on a message."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from bot.understanding import (
    answers,
    asked_values,
    batches,
    client_words,
    controls,
    doses,
    feeding,
    history,
    hurt,
    kits,
    lead_ins,
    livestock,
    lookups,
    machines,
    notes,
    pictures,
    pings,
    rounds,
    running,
    schedule,
    settings,
    setup_orders,
    setup_people,
    setup_tanks,
    stock,
    stock_told,
    supplies,
    tasks,
    tools,
    upkeep,
    vats,
    waits,
    waters,
    waters_corrected,
)
from bot.understanding.claims import Claim
from bot.understanding.intent import done_only
from bot.understanding.text import Text


def _done(text: Text) -> Iterator[Claim]:
    return done_only(text, (claim for provide in _DEEDS for claim in provide(text)))


_DEEDS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    waters.claims,
    feeding.claims,
    livestock.claims,
    doses.claims,
    upkeep.claims,
    machines.claims,
    waits.claims,
    stock.claims,
    stock_told.claims,
    vats.claims,
)
"""What is told as done: none of it where it is denied, intended or asked."""

KINDS: tuple[Callable[[Text], Iterable[Claim]], ...] = (
    _done,
    waters_corrected.claims,
    notes.claims,
    tools.claims,
    pings.claims,
    tasks.claims,
    client_words.claims,
    controls.claims,
    answers.claims,
    running.claims,
    history.claims,
    lookups.claims,
    asked_values.claims,
    pictures.claims,
    kits.claims,
    lead_ins.claims,
    settings.claims,
    setup_orders.claims,
    setup_people.claims,
    setup_tanks.claims,
    batches.claims,
    vats.asked,
    supplies.claims,
    stock_told.asked,
    schedule.claims,
    rounds.claims,
    hurt.claims,
)
