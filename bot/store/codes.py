"""Door codes: kept apart from the record, encrypted; the key lies in a file of its own beside the database.

Nothing else ever holds a code: messages and facts have it masked, an export has no such table, and a text on its way
out carries a mark (`shown`) in its place, which is filled in at the very moment of delivery (`filled_in`).
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import os
import re
from pathlib import Path

from cryptography.fernet import Fernet, InvalidToken
from sqlite_utils import Database

from bot.store.database import add, one, rows
from bot.store.reversals import is_undone

_MARK = re.compile("\x02(code|invite) (\\d+)\x02")
UNREADABLE = "(its key is not on this machine)"


def keep(db: Database, message_id: int, owner: str, code: str) -> None:
    """Keeps the code of that owner (a client, a tank) as said in the message; undo of the message takes it back."""
    token = Fernet(_key(db)).encrypt(code.encode()).decode()
    add(db, "code", message_id=message_id, owner=owner, token=token)


def number_of(db: Database, owner: str) -> int | None:
    """The number of the owner's code in force; None where there is none."""
    found = rows(db, "select id, message_id from code where owner = ? order by id desc", [owner])
    return next((row["id"] for row in found if not is_undone(db, row["message_id"])), None)


def kept_under(db: Database, message_id: int) -> int:
    """How many codes were kept under a message."""
    return len(rows(db, "select 1 from code where message_id = ?", [message_id]))


def shown(kind: str, number: int) -> str:
    """The mark that stands for a code, or for the invitation made by a message, in a text on its way out."""
    return f"\x02{kind} {number}\x02"


def filled_in(db: Database, text: str) -> str:
    """The text with each mark replaced by what it stands for; only for the moment of delivery."""
    return _MARK.sub(lambda mark: _behind(db, mark[1], int(mark[2])), text) if "\x02" in text else text


def invitation(db: Database, message_id: int) -> str:
    """The one-use code of the invitation made by a message: worked out from the key, so that it need not be kept."""
    made = hmac.new(_key(db), f"invite {message_id}".encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(made[:16]).decode().rstrip("=")


def random_for(db: Database, words: str) -> bytes:
    """Random bytes that nobody can guess without the key, the same again for the same words."""
    return hmac.new(_key(db), words.encode(), hashlib.sha256).digest()


def use_key(db: Database, key: bytes) -> None:
    """Sets the key of a database that has none yet (a rehearsal gives the same codes each time)."""
    path = _path(db)
    if path is None:
        db.conn.execute("create temp table if not exists the_key (key blob)")
        if one(db, "select 1 from the_key") is None:
            db.conn.execute("insert into the_key values (?)", [key])
    elif not path.exists():
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(key)


def _behind(db: Database, kind: str, number: int) -> str:
    if kind == "invite":
        return invitation(db, number)
    row = one(db, "select token from code where id = ?", [number])
    try:
        return Fernet(_key(db)).decrypt(row["token"].encode()).decode() if row else ""
    except InvalidToken:
        return UNREADABLE


def _key(db: Database) -> bytes:
    """The key of this database; made where there is none."""
    use_key(db, Fernet.generate_key())
    path = _path(db)
    if path is not None:
        return path.read_bytes()
    row = one(db, "select key from the_key")
    assert row is not None
    return bytes(row["key"])


def _path(db: Database) -> Path | None:
    """The file of the key; None for a database in memory."""
    file = next((row["file"] for row in rows(db, "pragma database_list") if row["name"] == "main"), "")
    return Path(f"{file}.key") if file else None
