"""The folder beside the database: photos and documents as they came, and what was drawn (`drawn/`)."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlite_utils import Database

from bot.store.database import epoch, rows

DRAWN = "drawn"


def folder_of(db: Database) -> Path | None:
    """The folder; None for a database in memory."""
    file = next((row["file"] for row in rows(db, "pragma database_list") if row["name"] == "main"), "")
    return Path(f"{file}.files") if file else None


def keep(folder: Path, name: str, content: bytes) -> Path:
    """Writes a file whole or not at all; returns where it stands."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = path.with_name(path.name + ".part")
    part.write_bytes(content)
    part.chmod(0o600)
    return part.rename(path)


def clean(folder: Path, before: datetime) -> int:
    """Removes drawn files older than that: the record can have them drawn again. Returns how many."""
    old = [path for path in (folder / DRAWN).glob("*") if path.is_file() and path.stat().st_mtime < epoch(before)]
    for path in old:
        path.unlink(missing_ok=True)
    return len(old)
