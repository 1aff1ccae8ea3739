"""Files of an answer, made ready for whoever delivers it: what is noted as a picture or page is drawn now."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from sqlite_utils import Database

from bot.assistant.drawn import drawn
from bot.doors import logs
from bot.messages import Outgoing
from bot.store import files
from bot.store.database import open_reading
from bot.wording import service


def ready(db: Database, message: Outgoing) -> Outgoing:
    """The message with its files where they stand here; one that cannot be drawn is left out, with a word."""
    folder = files.folder_of(db)
    if not message.files or folder is None:
        return message
    found = [_made(db, folder, name) for name in message.files]
    lost = f"\n{service.NO_FILE}" if None in found else ""
    return replace(message, files=tuple(str(path) for path in found if path), text=message.text + lost)


def ready_apart(db_path: Path, message: Outgoing) -> Outgoing:
    """The same, for a thread beside the one that owns the database: reads over a connection of its own."""
    db = open_reading(db_path)
    try:
        return ready(db, message)
    finally:
        db.close()


def is_drawn(names: Iterable[str]) -> bool:
    """Whether one of the files is one that must be drawn."""
    return any(Path(name).parent == Path(files.DRAWN) for name in names)


def _made(db: Database, folder: Path, name: str) -> Path | None:
    path = folder / name
    if path.exists():
        return path
    if not is_drawn([name]):
        return None
    try:
        content = drawn(db, name)
        return files.keep(folder, name, content) if content else None
    except Exception:
        logs.log.error("not drawn", exc_info=True, extra={"more": {"file": name}})
        return None
