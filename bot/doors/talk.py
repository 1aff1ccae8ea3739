"""The verbs that talk without a chat service: demo, chat and replay."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from bot.doors.replay import Unplayable, read_script
from bot.doors.replay import replay as play
from bot.doors.terminal import HINT, last_person
from bot.doors.terminal import chat as talk
from bot.store.database import open_database
from bot.store.demo import load_demo
from bot.store.roster import load_team


def demo(arguments: list[str]) -> int:
    """The terminal chat with the demo team, in a database of its own that is thrown away."""
    parser = argparse.ArgumentParser("python -m bot demo", description="Chat with the demo team in this terminal.")
    parser.add_argument("--as", dest="who", help="which member of the demo team you are")
    parser.add_argument("--db", help="keep the demo in this file")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        db = open_database(options.db or Path(folder) / "demo.db")
        if not load_team(db).people:
            load_demo(db, datetime.now(UTC))
        team = load_team(db)
        person = team.person(options.who) if options.who else team.with_role("technician")[0]
        if person is None:
            return _nobody(options.who, [p.name for p in team.people])
        talk(db, person.name, _greeting(person.name, team.name, [t.name for t in team.tanks]))
        db.close()
    return 0


def chat(arguments: list[str]) -> int:
    """The terminal chat on a team's own database."""
    parser = argparse.ArgumentParser("python -m bot chat", description="Chat in this terminal, on your own database.")
    parser.add_argument("--db", default="bucketbell.db", help="the database (default: %(default)s)")
    parser.add_argument("--as", dest="who", help="who you are: a name on the team's list")
    options = parser.parse_args(arguments)
    db = open_database(options.db)
    team = load_team(db)
    if not team.people:
        print("Nobody is on this team's list yet: python -m bot import TEAM.json --db FILE", file=sys.stderr)
        return 1
    person = team.person(options.who or last_person(db) or team.people[0].name)
    if person is None:
        return _nobody(options.who, [p.name for p in team.people])
    talk(db, person.name, _greeting(person.name, team.name, [t.name for t in team.tanks]))
    db.close()
    return 0


def replay(arguments: list[str]) -> int:
    """Plays a script and prints what the bot said and stored, a JSON object a line."""
    parser = argparse.ArgumentParser("python -m bot replay", description="Plays a scripted conversation.")
    parser.add_argument("file", help="the script, JSON lines")
    parser.add_argument("--db", help="keep the database in this file")
    options = parser.parse_args(arguments)
    script = Path(options.file)
    with tempfile.TemporaryDirectory() as folder:
        path = options.db or str(Path(folder) / "replay.db")
        try:
            kept = Path(f"{options.db}.files") if options.db else None
            for out in play(read_script(script.read_text(encoding="utf-8").splitlines()), path, script.parent):
                print(
                    json.dumps(
                        out | ({"files": [str(kept / f) for f in out["files"]]} if kept else {}), ensure_ascii=False
                    )
                )
        except (Unplayable, OSError) as why:
            print(f"{script}: {why}", file=sys.stderr)
            return 1
    return 0


def _greeting(who: str, team: str, tanks: list[str]) -> str:
    example = tanks[0] if tanks else "oak lobby"
    return f"{team}: you are {who}. Tanks: {', '.join(tanks)}\n" + HINT.format(tank=example.lower())


def _nobody(who: str, names: list[str]) -> int:
    print(f"{who!r} is not on the team's list: {', '.join(names)}", file=sys.stderr)
    return 1
