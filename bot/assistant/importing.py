"""An old log sent as a file: dry run, at most one question at a time, then one press stores it under one message."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.assistant import asking
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Understood
from bot.rules import gates
from bot.rules.importing import Plan, plan
from bot.rules.importing_rows import Choices
from bot.rules.importing_text import decoded
from bot.store import importing as store
from bot.store.pending import Pending
from bot.store.roster import load_team
from bot.wording import importing as wording

TABLES = (".csv", ".tsv", ".txt")


@dataclass(frozen=True)
class DryRun:
    """What an import would do: its summary, what can be answered, how many rows are new. Nothing is stored."""

    lines: tuple[str, ...]
    options: tuple[tuple[str, str], ...]
    plan: Plan
    new: int


def dry_run(db: Database, text: str, now: datetime, choices: Choices | None = None) -> DryRun:
    """Looks at a file as the team would import it, with what was answered so far."""
    found = plan(text, load_team(db), now, choices)
    new = len(store.unknown(db, found.lines))
    return DryRun(tuple(wording.summary(found, new)), wording.answers(found, new), found, new)


def carry_out(
    db: Database, message_id: int, who: str, text: str, now: datetime, choices: Choices | None = None
) -> list[str]:
    """Stores the file's rows under the message; returns what to say. Undo of the message takes all of it back."""
    return wording.done(store.write_down(db, message_id, who, plan(text, load_team(db), now, choices), now))


def take_file(turn: Turn, understood: Understood, parts: Sequence[Part]) -> list[Part]:
    """Looks at a table that came with a message; only office and owner bring one in."""
    if turn.file is None or Path(turn.file).suffix.lower() not in TABLES:
        return []
    if not gates.may("G11", turn.who.role):
        return [Part(lines=("An old log is brought in by office or owner: ask them to send it.",))]
    tank = turn.situation.tank if turn.situation and turn.text.strip() else None
    return _look(turn, turn.file, {"tank": tank} if tank else {})


def answer(turn: Turn, question: Pending, value: str | None, words: str) -> list[Part] | None:
    """Goes on with an import: a choice made, the doubtful rows shown, stored, or dropped."""
    file, said = str(question.data["file"]), dict(question.data["said"])
    value = value or wording.meant(words, question.options)
    match (value or "").split(" ", 1):
        case ["doubtful"]:
            lines = dry_run(turn.db, _text(file), turn.now, _choices(said)).plan.lines
            return [Part(lines=tuple(wording.doubts(lines))), asking.put_again(turn, question)]
        case ["day" | "month" as first]:
            return [*_look(turn, file, said | {"day_first": first == "day"}), *asking.settled(turn, question)]
        case ["unit", unit]:
            units = {**said.get("units", {}), str(question.data["column"]): unit}
            return [*_look(turn, file, said | {"units": units}), *asking.settled(turn, question)]
        case ["import"]:
            done = carry_out(turn.db, turn.message_id, turn.who.name, _text(file), turn.now, _choices(said))
            return [Part(lines=tuple(done), stored=True), *asking.settled(turn, question)]
        case ["drop"]:
            return [Part(lines=("Not imported.",)), *asking.settled(turn, question, "dropped")]
    return None


def _look(turn: Turn, file: str, said: Mapping[str, Any]) -> list[Part]:
    """The dry run as a reply: with its question, or as plain words where there is nothing to import."""
    look = dry_run(turn.db, _text(file), turn.now, _choices(said))
    if not look.options:
        return [Part(lines=look.lines)]
    column = look.plan.question.sample if look.plan.question else ""
    kept: dict[str, object] = {"file": file, "said": dict(said), "column": column}
    return [Part(ask=Ask("\n".join(look.lines), look.options, "import", "import", data=kept))]


def _choices(said: Mapping[str, Any]) -> Choices:
    return Choices(said.get("day_first"), said.get("units", {}), said.get("tank"))


def _text(file: str) -> str:
    return decoded(Path(file).read_bytes())
