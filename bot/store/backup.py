"""Copies of the database while it is in use: made, checked, thinned out, put back."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlite_utils import Database

from bot.store.database import open_database
from bot.store.faults import fault_in_words
from bot.store.schema import MIGRATIONS
from bot.store.seal import broken_seals

# How many copies stay: the newest of each of so many days, weeks and months.
KEPT = (("%Y-%m-%d", 7), ("%G-W%V", 5), ("%Y-%m", 12))
_NAME = "copy-%Y%m%dT%H%M%SZ.db"


class NotACopy(Exception):
    """A file that cannot stand for the database, and why."""


def make_copy(db: Path, folder: Path, at: datetime) -> Path:
    """A checked copy of the database in the folder, named by the time in UTC; the service may write meanwhile.

    Raises NotACopy where the copy does not pass the check; nothing half-made keeps the name of a copy.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    target = folder / at.astimezone(UTC).strftime(_NAME)
    part = target.with_suffix(".part")
    part.unlink(missing_ok=True)
    try:
        _copy(db, part)
        check(part)
        part.chmod(0o600)
        return part.rename(target)
    finally:
        part.unlink(missing_ok=True)


def check(copy: Path) -> int:
    """The version of the schema in a sound file of ours; raises NotACopy for any other."""
    if not copy.is_file():
        raise NotACopy(f"{copy}: there is no such file.")
    try:
        with closing(sqlite3.connect(f"file:{copy}?mode=ro", uri=True)) as conn:
            said = conn.execute("pragma integrity_check(1)").fetchone()[0]
            version = int(conn.execute("pragma user_version").fetchone()[0])
            conn.execute("select count(*) from message").fetchone()
    except sqlite3.Error as fault:
        raise NotACopy(f"{copy}: {fault_in_words(fault) or fault}.") from None
    if said != "ok":
        raise NotACopy(f"{copy}: the file is damaged ({said}).")
    if version > len(MIGRATIONS):
        raise NotACopy(f"{copy} is of a later release (version {version}, this one knows {len(MIGRATIONS)}).")
    return version


def put_back(copy: Path, db: Path, at: datetime) -> Path | None:
    """The copy in the place of the database, after a check; the present file is kept beside it, its new name returned.

    The service must not run. Raises NotACopy, and then nothing has changed.
    """
    check(copy)
    part = db.with_name(db.name + ".part")
    part.unlink(missing_ok=True)
    _copy(copy, part)
    check(part)
    kept = _aside(db, at) if db.exists() else None
    os.replace(part, db)
    return kept


@dataclass(frozen=True)
class Rehearsal:
    """A copy put back where nothing was: the rows found there, and why that would not do ("" where it would)."""

    rows: int
    why: str = ""


def rehearse(copy: Path, at: datetime) -> Rehearsal:
    """Restores a copy into an empty folder and opens it as the service does; every row and every seal must be there."""
    try:
        with tempfile.TemporaryDirectory(prefix="rehearsal-", dir=copy.parent) as folder:
            restored = Path(folder) / "restored.db"
            put_back(copy, restored, at)
            return _compared(copy, restored)
    except (NotACopy, OSError, sqlite3.Error) as fault:
        return Rehearsal(0, fault_in_words(fault) or str(fault))


def _compared(copy: Path, restored: Path) -> Rehearsal:
    """The restored file against the copy, table by table."""
    before = _counts(copy)
    with closing(open_database(restored).conn) as conn:
        conn.row_factory = sqlite3.Row
        broken = broken_seals(Database(conn, execute_plugins=False))
    after = _counts(restored)
    differ = [name for name, count in before.items() if after.get(name) != count]
    why = f"rows differ in {', '.join(differ)}" if differ else f"{len(broken)} seals broken" if broken else ""
    return Rehearsal(sum(before.values()), why)


def _counts(file: Path) -> dict[str, int]:
    with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as conn:
        names = [r[0] for r in conn.execute("select name from sqlite_master where type = 'table'")]
        return {name: int(conn.execute(f'select count(*) from "{name}"').fetchone()[0]) for name in names}


def copies(folder: Path) -> list[tuple[datetime, Path]]:
    """The copies in a folder with their times, newest first."""
    found = []
    for path in folder.glob("copy-*.db"):
        try:
            found.append((datetime.strptime(path.name, _NAME).replace(tzinfo=UTC), path))
        except ValueError:
            continue
    return sorted(found, reverse=True)


def thin_out(folder: Path) -> list[Path]:
    """Removes the copies that no day, week or month needs; returns them. The newest always stays."""
    there = copies(folder)
    needed = {path for form, most in KEPT for path in _newest_of_each(there, form, most)} | {p for _, p in there[:1]}
    spare = [path for _, path in there if path not in needed]
    for path in spare:
        path.unlink()
    return spare


def _newest_of_each(there: list[tuple[datetime, Path]], form: str, most: int) -> list[Path]:
    newest: dict[str, Path] = {}
    for at, path in there:
        newest.setdefault(at.strftime(form), path)
    return list(newest.values())[:most]


def _copy(source: Path, target: Path) -> None:
    with (
        closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.execute("pragma busy_timeout = 5000")
        old.backup(new)
        new.execute("pragma journal_mode = delete")


def _aside(db: Path, at: datetime) -> Path:
    """The present database under another name, with what its write-ahead log still held."""
    kept = db.with_name(at.astimezone(UTC).strftime(f"{db.name}.before-%Y%m%dT%H%M%SZ"))
    for ending in ("", "-wal", "-shm"):
        part = db.with_name(db.name + ending)
        if part.exists():
            part.rename(kept.with_name(kept.name + ending))
    return kept
