"""At leaving: tests that the tank's list has due and that nobody made, asked about once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta

from bot.assistant import asking, people
from bot.assistant.dispatch import parts_of
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control, Reading
from bot.store import conversations, logbook, pending
from bot.store.pending import Pending
from bot.team import Tank
from bot.understanding.read import read
from bot.wording import due_tests as wording

HANDLER = "due_tests"
_WORK = ("water_change", "cleaning", "filter_service")


def missing(turn: Turn, tank: str | None, minutes: int) -> list[Part]:
    """The question, where something was done at the tanks of the site and a test of theirs is missing."""
    found = {t.name: lacks for name in people.site_of(turn, tank) if (t := turn.tank(name)) and (lacks := _of(turn, t))}
    if not found:
        return []
    text = wording.missing(found)
    if pending.unanswered(turn.db, turn.chat):
        return [Part(lines=(text,))]
    tests = {name: list(lacks) for name, lacks in found.items()}
    return [Part(ask=Ask(text, (("Skip", "skip"), ("Add", "add")), HANDLER, "which_parameter", None, {"tests": tests}))]


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """[Skip] notes it; [Add], or the numbers themselves, go to the tank that was left."""
    tests: dict[str, list[str]] = question.data["tests"]
    if value == "skip":
        for name, lacks in tests.items():
            turn.keep(Control("skip", tank=name, subject="tests", reason=", ".join(lacks)))
        return [Part(head=wording.skipped(tests), stored=True), *asking.settled(turn, question)]
    tank = next(iter(tests))
    if value == "add":
        _take_up(turn, tank)
        return [Part(head=wording.send(tank, tests[tank])), *asking.settled(turn, question)]
    return _read(turn, question, tank, text)


def _read(turn: Turn, question: Pending, tank: str, text: str) -> list[Part] | None:
    """Numbers sent without a press: of the tank that was left, where nothing else is in them."""
    if turn.situation is None:
        return None
    understood = read(text, replace(turn.situation, tank=turn.situation.tank or tank))
    own = all(isinstance(i, Reading) and i.tank == tank for i in understood.items)
    if not understood.items or understood.unread or not own:
        return None
    return [*parts_of(turn, understood), *asking.settled(turn, question)]


def _take_up(turn: Turn, tank: str) -> None:
    conversations.carry_on(turn.db, turn.message_id, turn.chat, tank=tank, tank_at=turn.now, last_at=turn.now)


def _of(turn: Turn, tank: Tank) -> tuple[str, ...]:
    """The tests of the tank's panel that are due and were not made today; none where nothing was done there."""
    midnight = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    own = logbook.events(turn.db, tank.name, since=midnight, kind="reading")
    done = logbook.events(turn.db, tank.name, _WORK, since=midnight)
    if not own and not done:
        return ()
    made = {f.item.parameter for f in own if isinstance(f.item, Reading) and f.item.of == "tank"}
    return tuple(p for p in tank.panel if p not in made and _is_due(turn, tank, p))


def _is_due(turn: Turn, tank: Tank, parameter: str) -> bool:
    """Every visit, unless the tank's list says how often: {"tests": {"calcium": 30}}."""
    every = (tank.data.get("tests") or {}).get(parameter)
    last: Sequence[logbook.Fact] = logbook.series(turn.db, tank.name, parameter, 1, turn.now)
    return not every or not last or turn.now - last[0].at >= timedelta(days=float(every))
