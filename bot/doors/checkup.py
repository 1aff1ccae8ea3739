"""What the service stands on, looked at one by one: each finding says how it is and, where needed, what to do."""

from __future__ import annotations

import asyncio
import os
import shutil
import sqlite3
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.utils import parsedate_to_datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from bot.doors.logs import redacted
from bot.doors.settings import SECRET_FILE, TOKEN_FILE, Settings, Unusable, copies_folder, database_path, from_environ
from bot.store.backup import NotACopy, check, copies
from bot.store.database import open_database
from bot.store.faults import fault_in_words
from bot.store.roster import load_team

LOW_BYTES, FULL_BYTES, OLD_COPY, CLOCK_S = 1_000_000_000, 200_000_000, timedelta(days=2), 5.0
OLDEST_SQLITE = (3, 38, 0)  # strict tables, and arrows into JSON


@dataclass(frozen=True)
class Finding:
    """What was looked at, how it is (`state`: good, look or bad), and a sentence."""

    what: str
    state: str
    said: str


def check_up(
    environ: Mapping[str, str], options: Mapping[str, str | None], now: datetime, offline: bool = False
) -> list[Finding]:
    """Everything that can be looked at; a fault of one check never hides the others."""
    db = database_path(environ, options.get("db"))
    found = [*_versions(), *_secret_files(environ), *_folder(db), *_file(db), *_team(db)]
    found += _copies(copies_folder(db, options.get("copies")), now)
    try:
        settings = from_environ(environ, options)
    except Unusable as fault:
        return [*found, *(Finding("settings", "bad", line) for line in fault.lines)]
    found.append(Finding("settings", "good", "complete"))
    return found if offline else [*found, *_service(settings, now)]


def _versions() -> Iterator[Finding]:
    yield Finding("python", "good", sys.version.split()[0])
    text = sqlite3.sqlite_version
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        yield Finding("sqlite", "bad", f"{text} is too old: 3.38 or newer is needed. Use a newer Python build.")
    else:
        yield Finding("sqlite", "good", text)


def _secret_files(environ: Mapping[str, str]) -> Iterator[Finding]:
    for name in (TOKEN_FILE, SECRET_FILE):
        path = Path(environ.get(name) or "")
        if environ.get(name) and path.is_file():
            mode = stat.S_IMODE(path.stat().st_mode)
            if mode & 0o077:
                yield Finding("rights", "bad", f"others may read {path} (mode {mode:o}). Do: chmod 600 {path}")
            else:
                yield Finding("rights", "good", f"{path} is for its owner alone")


def _folder(db: Path) -> Iterator[Finding]:
    folder = db.absolute().parent
    if not folder.is_dir():
        yield Finding("folder", "bad", f"{folder} does not exist. Do: mkdir -p {folder}")
        return
    if not os.access(folder, os.W_OK | os.X_OK):
        yield Finding("folder", "bad", f"{folder} may not be written by this user. Change its owner.")
    free = shutil.disk_usage(folder).free
    state = "bad" if free < FULL_BYTES else "look" if free < LOW_BYTES else "good"
    more = "" if state == "good" else ". Free some space before it is full"
    yield Finding("disk", state, f"{free / 1e9:.1f} GB free at {folder}{more}")


def _file(db: Path) -> Iterator[Finding]:
    if not db.exists():
        yield Finding("database", "look", f"{db} is not there yet; it is made at the first start")
        return
    try:
        yield Finding("database", "good", f"{db} is sound, version {check(db)}, {db.stat().st_size / 1e6:.1f} MB")
    except NotACopy as fault:
        yield Finding("database", "bad", str(fault))
        return
    if not os.access(db, os.R_OK | os.W_OK):
        yield Finding("database", "bad", f"{db} may not be written by this user. Change its owner.")
    elif stat.S_IMODE(db.stat().st_mode) & 0o007:
        yield Finding("rights", "look", f"everybody on this machine may read {db}. Do: chmod o-rwx {db}")


def _team(db: Path) -> Iterator[Finding]:
    """Owners with an account, and the zone in which the team's clocks stand."""
    if not db.exists():
        return
    try:
        with closing(open_database(db)) as opened:
            team = load_team(opened)
            known = {row[0] for row in opened.conn.execute("select person from account where active = 1")}
    except Exception as fault:
        yield Finding("team", "bad", f"cannot be read: {fault_in_words(fault) or fault}")
        return
    owners = [person.name for person in team.with_role("owner") if person.name in known]
    if owners:
        yield Finding("team", "good", f"{len(team.people)} people, {len(known)} with an account")
    else:
        yield Finding("team", "look", "no owner has an account yet. Do: python -m bot invite --role owner")
    try:
        ZoneInfo(team.zone)
        yield Finding("zone", "good", team.zone)
    except (ZoneInfoNotFoundError, ValueError):
        yield Finding("zone", "bad", f"{team.zone!r} is no zone name. Set one such as Europe/Lisbon.")


def _copies(folder: Path, now: datetime) -> Iterator[Finding]:
    there = copies(folder) if folder.is_dir() else []
    if not there:
        yield Finding("copies", "look", f"none in {folder} yet; the running bot makes one a day")
        return
    age = now - there[0][0]
    old = age > OLD_COPY
    more = ". Is the bot running, and the disk full?" if old else ". Copy them to another machine too"
    yield Finding(
        "copies", "look" if old else "good", f"{len(there)}, the newest {age / timedelta(hours=1):.0f} h old{more}"
    )


def _service(settings: Settings, now: datetime) -> Iterator[Finding]:
    """Whether the chat service answers, knows the token, and has the same time."""
    if settings.base_url and settings.base_url.startswith("http://") and not _is_near(settings.base_url):
        yield Finding("address", "look", f"{settings.base_url}: without https the token can be read on the way")
    yield from _attempt("token", lambda: asyncio.run(_ask(settings)))
    yield from _attempt("clock", lambda: _clock(settings, now))


def _attempt(what: str, act: Callable[[], Finding]) -> Iterator[Finding]:
    try:
        yield act()
    except Exception as fault:
        why = redacted(f"{type(fault).__name__}: {fault}")
        yield Finding(what, "bad", f"the chat service does not answer ({why}). Check the network and the address")


async def _ask(settings: Settings) -> Finding:
    from telegram.error import InvalidToken

    from bot.doors.api import Api

    api = Api(settings)
    try:
        me = await api.call("getMe")
        hook = (await api.call("getWebhookInfo")).get("url")
    except InvalidToken:
        return Finding("token", "bad", "the chat service refuses it. Get a new one and set it again")
    finally:
        await api.close()
    if hook and settings.webhook is None:
        return Finding("token", "look", f"good, but updates go to {hook}; `serve` without --webhook-url ends that")
    return Finding("token", "good", f"the chat service knows it: @{me.get('username')}")


def _clock(settings: Settings, now: datetime) -> Finding:
    """Our clock against the date in the head of an answer, which is true to a second or two."""
    import httpx

    date = httpx.get(settings.base_url or "https://api.telegram.org", timeout=15).headers.get("date")
    if date is None:
        return Finding("clock", "look", "the server named no time to compare with")
    off = (now - parsedate_to_datetime(date)).total_seconds()
    if abs(off) > CLOCK_S:
        return Finding(
            "clock", "bad", f"wrong by {off:+.0f} s: pings would ring at the wrong time. Turn on time setting (NTP)"
        )
    return Finding("clock", "good", f"within {CLOCK_S:.0f} s of the server's")


def _is_near(url: str) -> bool:
    host = url.partition("//")[2].partition("/")[0].rpartition(":")[0] or url.partition("//")[2].partition("/")[0]
    return host in ("localhost", "127.0.0.1", "[::1]")
