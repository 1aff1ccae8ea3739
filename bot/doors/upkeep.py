"""The verbs of whoever runs the machine: backup, restore, health, doctor."""

from __future__ import annotations

import argparse
import os
import sqlite3
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from bot.doors.checkup import Finding, check_up
from bot.doors.lock import Held, only_process
from bot.doors.settings import DB, copies_folder, database_path
from bot.store.backup import NotACopy, copies, make_copy, put_back, thin_out
from bot.store.faults import fault_in_words

HEALTHY_S = 60.0


def backup(arguments: list[str]) -> int:
    """Makes a checked copy and removes those that are no longer needed."""
    parser = _parser("backup", "Copies the database while it is in use, checks the copy, and thins out old ones.")
    parser.add_argument("--copies", metavar="FOLDER", help="where copies go (else a folder beside the database)")
    options = parser.parse_args(arguments)
    db = database_path(os.environ, options.db)
    if not db.is_file():
        return _said(f"{db}: there is no such file.", 1)
    folder = copies_folder(db, options.copies)
    try:
        made = make_copy(db, folder, datetime.now(UTC))
    except (NotACopy, OSError, sqlite3.Error) as fault:
        return _said(f"No copy made. {fault_in_words(fault) or fault}", 1)
    gone = thin_out(folder)
    print(f"{made}\nChecked: it opens and is sound. {len(copies(folder))} copies kept, {len(gone)} removed.")
    return 0


def restore(arguments: list[str]) -> int:
    """Puts a copy in the place of the database; the present file is kept under another name."""
    parser = _parser("restore", "Puts a copy in the place of the database. The present file is kept beside it.")
    parser.add_argument("copy", help="the copy, or a folder of copies (then its newest)")
    options = parser.parse_args(arguments)
    db, copy = database_path(os.environ, options.db), Path(options.copy)
    if copy.is_dir():
        there = copies(copy)
        if not there:
            return _said(f"{copy}: no copies in it.", 1)
        copy = there[0][1]
    try:
        with only_process(db):
            kept = put_back(copy, db, datetime.now(UTC))
    except (Held, NotACopy) as fault:
        return _said(f"Nothing changed. {fault}", 1)
    except (OSError, sqlite3.Error) as fault:
        return _said(f"{db}: {fault_in_words(fault) or fault}", 1)
    print(f"{db} is now {copy}." + (f" The file before: {kept}" if kept else ""))
    return 0


def health(arguments: list[str]) -> int:
    """Status 0 where the running bot gave a sign of life within the last minute and hears the chat service."""
    options = _parser("health", "Whether the running bot is alive; status 0 for yes, 1 for no.").parse_args(arguments)
    db = database_path(os.environ, options.db)
    try:
        with closing(sqlite3.connect(f"file:{db}?mode=ro", uri=True, timeout=5)) as conn:
            row = conn.execute("select at, data ->> 'alive', data ->> 'why' from pulse where name = 'alive'").fetchone()
    except sqlite3.Error as fault:
        return _said(f"{db}: {fault_in_words(fault) or fault}.", 1)
    if row is None:
        return _said("It has never run on this file.", 1)
    age = datetime.now(UTC).timestamp() - row[0]
    if not row[1] or age > HEALTHY_S:
        return _said(f"Not alive: {row[2] or 'no sign of life'}, last sign {age:.0f} s ago.", 1)
    print(f"Alive, last sign {age:.0f} s ago.")
    return 0


def doctor(arguments: list[str]) -> int:
    """Checks everything the service stands on, and says in words what to do; status 1 where something must be done."""
    parser = _parser("doctor", "Checks token, database, clock, zone, disk and rights; says what to do.")
    parser.add_argument("--base-url", help="another Bot API server, its .../bot form")
    parser.add_argument("--copies", metavar="FOLDER", help="where copies go (else a folder beside the database)")
    parser.add_argument("--offline", action="store_true", help="do not ask the chat service")
    options = vars(parser.parse_args(arguments))
    offline = options.pop("offline")
    findings = check_up(os.environ, options, datetime.now(UTC), offline)
    for finding in findings:
        print(_line(finding))
    return int(any(finding.state == "bad" for finding in findings))


def _line(finding: Finding) -> str:
    word = {"good": "ok  ", "look": "look", "bad": "BAD "}[finding.state]
    return f"{word} {finding.what}: {finding.said}"


def _parser(verb: str, what: str) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(f"python -m bot {verb}", description=what)
    parser.add_argument("--db", help=f"the team's database (else {DB}, else bucketbell.db)")
    return parser


def _said(sentence: str, status: int) -> int:
    print(sentence, file=sys.stderr)
    return status
