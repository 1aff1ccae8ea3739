"""What the tests of this visit say to the gate before animals leave their bag (G4): ammonia and nitrite of the tank."""

from __future__ import annotations

from collections.abc import Mapping

from bot.assistant.turn import Turn
from bot.items import Reading
from bot.rules.conversation import tested_before
from bot.store import logbook
from bot.store.waits import WaitRow

QUERY = "water"
TESTS = ("ammonia", "nitrite")


def answers(turn: Turn, row: WaitRow) -> dict[str, str]:
    """The answer that the tests give: shows, where one is above zero; zero, where all of them are; else none."""
    found = [_newest(turn, row, name) for name in TESTS]
    if any(r is not None and r.value > 0 and not r.below for r in found):
        return {QUERY: "water_shows"}
    return {QUERY: "water_zero"} if all(found) else {}


def corrected(turn: Turn, row: WaitRow, given: Mapping[str, str]) -> Mapping[str, str]:
    """Answers as given; a zero that a test of this visit speaks against is none."""
    if given.get(QUERY) != "water_zero" or not row.tank:
        return given
    return {**given, **{k: a for k, a in answers(turn, row).items() if a == "water_shows"}}


def _newest(turn: Turn, row: WaitRow, parameter: str) -> Reading | None:
    newest = next(iter(logbook.series(turn.db, row.tank or "", parameter, 1)), None)
    fresh = newest is not None and newest.at >= row.started_at - tested_before()
    return newest.item if newest and fresh and isinstance(newest.item, Reading) else None
