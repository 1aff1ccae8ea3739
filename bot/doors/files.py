"""The verbs that move files: import, export, verify."""

from __future__ import annotations

import argparse
import json
import os
import sys
import zipfile
from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.assistant import importing
from bot.doors.settings import database_path
from bot.rules.importing_rows import Choices
from bot.rules.importing_text import decoded
from bot.store.database import open_database, writing
from bot.store.record import Refused, bring_in, exported
from bot.store.said import record_import
from bot.store.seal import broken_seals, chain_end, seal, strayed_rows, unsealed
from bot.store.spreadsheet import csv_files
from bot.wording.importing import doubts

_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the same record gives the same bytes


def export(arguments: list[str]) -> int:
    """Writes the record to a file: whole as JSON, or its tables as CSV."""
    parser = _parser("export", "Writes the record. The ending says how: .json whole, .zip or a folder/ a CSV a table.")
    parser.add_argument("file", help="record.json, tables.zip, a folder/, or one table of it such as readings.csv")
    options = parser.parse_args(arguments)
    return _on_record(options, lambda db: _export(db, options.file))


def import_(arguments: list[str]) -> int:
    """Reads a team, a whole record, or an old table of readings."""
    parser = _parser(
        "import", "Reads a team (.json), a whole record into a new database (.json), or an old log (.csv)."
    )
    parser.add_argument("file", help="what to read")
    parser.add_argument("--as", dest="who", default="import", help="who brings it in")
    log = parser.add_argument_group("an old log: without --yes it is only looked at")
    log.add_argument("--yes", action="store_true", help="store what was understood")
    log.add_argument("--day-first", dest="day_first", action="store_true", default=None, help="3/4/2024 is in April")
    log.add_argument("--month-first", dest="day_first", action="store_false", help="3/4/2024 is in March")
    log.add_argument("--unit", action="append", default=[], metavar="COLUMN=UNIT", help="the unit of a column")
    log.add_argument("--tank", help="the tank of every row that names none")
    log.add_argument("--doubtful", action="store_true", help="list every doubtful row")
    options = parser.parse_args(arguments)
    try:
        return _import_log(options) if Path(options.file).suffix != ".json" else _import_json(options)
    except (Refused, OSError) as why:
        print(why, file=sys.stderr)
        return 1


def _import_json(options: argparse.Namespace) -> int:
    data = _parsed(Path(options.file))
    done = bring_in(open_database(_path(options)), data, options.who, datetime.now(UTC))
    print(f"Read from {options.file}: {done}.")
    return 0


def _import_log(options: argparse.Namespace) -> int:
    content, now = decoded(Path(options.file).read_bytes()), datetime.now(UTC)
    return _on_record(options, lambda db: _look_or_store(db, options, content, now))


def _look_or_store(db: Database, options: argparse.Namespace, content: str, now: datetime) -> int:
    choices = Choices(options.day_first, dict(each.split("=", 1) for each in options.unit if "=" in each), options.tank)
    look = importing.dry_run(db, content, now, choices)
    if options.doubtful:
        print("\n".join(doubts(look.plan.lines, most=len(look.plan.lines))))
    if not options.yes or look.plan.problem or look.plan.question:
        print("\n".join(look.lines))
        print(_WAYS[look.plan.question.about if look.plan.question else ""])
        return int(bool(look.plan.problem))
    with writing(db):
        message_id = record_import(db, options.who, now, Path(options.file).name, Path(options.file).name)
        done = importing.carry_out(db, message_id, options.who, content, now, choices)
        seal(db, message_id)
    print("\n".join(done))
    return 0


_WAYS = {
    "": "To store it: --yes. To see every doubtful row: --doubtful",
    "dates": "Say --day-first or --month-first.",
    "unit": "Say --unit COLUMN=UNIT.",
}


def verify(arguments: list[str]) -> int:
    """Says whether the record is as it was written; status 1 where it is not."""
    return _on_record(_parser("verify", "Checks every seal of the record.").parse_args(arguments), _verify)


def _verify(db: Database) -> int:
    faults = [
        *(f"message {number}: not what was sealed" for number in broken_seals(db)),
        *(f"message {number}: has no seal" for number in unsealed(db)),
        *(f"{table} {number}: changed without an entry in the journal" for table, number in strayed_rows(db)),
    ]
    print("\n".join(faults) or f"The record is as it was written. Its last seal: {chain_end(db)}")
    return int(bool(faults))


def _export(db: Database, target: str) -> int:
    path = Path(target)
    if path.suffix == ".json":
        _write(path, exported(db))
    elif path.suffix == ".zip":
        _write_zip(path, csv_files(db))
    elif path.suffix == ".csv":
        return _export_table(db, path)
    else:
        path.mkdir(parents=True, exist_ok=True)
        for name, text in csv_files(db).items():
            _write(path / name, text)
    print(f"Written: {target}")
    return 0


def _export_table(db: Database, path: Path) -> int:
    tables = csv_files(db)
    if path.name not in tables:
        print(f"{path.name} is no table of the record. There are: {', '.join(tables)}", file=sys.stderr)
        return 1
    _write(path, tables[path.name])
    print(f"Written: {path}")
    return 0


def _write(path: Path, pieces: Iterable[str]) -> None:
    """Whole or not at all: an export cut short never stands under the name of a good one."""
    unfinished = path.with_name(path.name + ".part")
    with unfinished.open("w", encoding="utf-8", newline="") as out:
        out.writelines(pieces)
    os.replace(unfinished, path)


def _write_zip(path: Path, tables: Mapping[str, Iterable[str]]) -> None:
    unfinished = path.with_name(path.name + ".part")
    with zipfile.ZipFile(unfinished, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in tables.items():
            archive.writestr(zipfile.ZipInfo(name, _ZIP_DATE), "".join(text), zipfile.ZIP_DEFLATED)
    os.replace(unfinished, path)


def _on_record(options: argparse.Namespace, work: Callable[[Database], int]) -> int:
    path = _path(options)
    if not path.exists():
        print(f"There is no database {path}. Name it: --db FILE", file=sys.stderr)
        return 1
    db = open_database(path)
    try:
        return work(db)
    finally:
        db.close()


def _parsed(path: Path) -> Mapping[str, Any]:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except UnicodeDecodeError:
        raise Refused(f"{path} is not a text file in UTF-8: send the export as it was written.") from None
    except json.JSONDecodeError as fault:
        raise Refused(f"{path} is not whole JSON (line {fault.lineno}): send the export as it was written.") from None
    if not isinstance(data, Mapping):
        raise Refused(f'{path} holds no {{"team": ...}}: send a team or an export.')
    return data


def _path(options: argparse.Namespace) -> Path:
    return database_path(os.environ, options.db)


def _parser(verb: str, does: str) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(f"python -m bot {verb}", description=does)
    parser.add_argument("--db", help="the team's database (else BUCKETBELL_DB, else bucketbell.db)")
    return parser
