"""The verbs of the chat service: serve, and invite, which lets people in."""

from __future__ import annotations

import argparse
import os
import sqlite3
import sys
from datetime import UTC, datetime

from bot.doors.settings import BASE_FILE_URL, BASE_URL, DB, Unusable, database_path, from_environ
from bot.store.accounts import INVITE_HOURS, new_invite
from bot.store.database import NewerFile, open_database, writing
from bot.store.faults import fault_in_words
from bot.team import ROLES


def serve(arguments: list[str]) -> int:
    """Serves until told to stop."""
    options = vars(_serve_parser().parse_args(arguments))
    try:
        settings = from_environ(os.environ, options)
    except Unusable as fault:
        print(fault, file=sys.stderr)
        return 78
    from bot.assistant.desk import handle
    from bot.doors.telegram import How
    from bot.doors.telegram import serve as run

    return run(settings, handle, How(environ=os.environ))


def _serve_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        "python -m bot serve",
        description="The bot on the chat service. The token is read from BUCKETBELL_TOKEN, or from the file that "
        "BUCKETBELL_TOKEN_FILE names; it is never an option.",
    )
    parser.add_argument("--db", help=f"the team's database (else {DB}, else bucketbell.db)")
    parser.add_argument("--base-url", help=f"another Bot API server, its .../bot form (else {BASE_URL})")
    parser.add_argument("--base-file-url", help=f"where that server keeps files (else {BASE_FILE_URL})")
    parser.add_argument("--health-port", help="answer /health and /counters at this port of 127.0.0.1")
    parser.add_argument("--copies", metavar="FOLDER", help="where copies of the database go (else beside it)")
    parser.add_argument("--copy-hours", help="hours between two copies (24)")
    parser.add_argument("--webhook-url", help="be called at this https address instead of asking; see deploy/")
    parser.add_argument("--webhook-listen", metavar="HOST:PORT", help="where to listen for that (127.0.0.1:8080)")
    parser.add_argument(
        "--transcriber", metavar="COMMAND", help="a program that prints the words of the sound file named behind it"
    )
    return parser


def invite(arguments: list[str]) -> int:
    """Prints a one-use code; only its hash is kept."""
    parser = argparse.ArgumentParser(
        "python -m bot invite", description="Prints a one-use code; its holder sends it to the bot as /start CODE."
    )
    parser.add_argument("--role", choices=ROLES, required=True)
    parser.add_argument("--name", help="whose account it becomes: a name on the team's list, or a new one")
    parser.add_argument("--hours", type=float, default=INVITE_HOURS, help="how long it is good (%(default)g)")
    parser.add_argument("--db", help=f"the team's database (else {DB}, else bucketbell.db)")
    options = parser.parse_args(arguments)
    path = database_path(os.environ, options.db)
    try:
        db = open_database(path)
        with writing(db):
            code = new_invite(db, None, options.role, options.name, datetime.now(UTC), options.hours)
        db.close()
    except (sqlite3.Error, NewerFile) as fault:
        print(f"{path}: {fault_in_words(fault) or fault}.", file=sys.stderr)
        return 1
    print(code)
    print(f"Good once, for {options.hours:g} h. To the bot, in a private chat: /start CODE", file=sys.stderr)
    return 0
