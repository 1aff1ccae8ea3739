"""Whose account of the chat service is whose, and the one-use codes by which people come in.

The rest of the program knows people and chats by name: a private chat by its person, a group by the number under which
it was first met. Only this table knows the service's own numbers, so that a new phone or a moved group changes one row.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlite_utils import Database

from bot.store.database import epoch, instant, one, rows
from bot.store.journal import alter, put
from bot.store.roster import row_of, set_up
from bot.store.said import record_import
from bot.store.seal import seal
from bot.team import DESK

USERS, GROUPS = "telegram", "telegram group"
INVITE_HOURS = 48.0


@dataclass(frozen=True)
class Invite:
    """A one-use code that is still good; `person` None where its holder brings a name along."""

    id: int
    person: str | None
    role: str
    expires_at: datetime


def person_of(db: Database, number: str) -> str | None:
    """The person whose account that is; None for strangers and for those taken off the list."""
    row = one(
        db,
        "select person from account join roster on kind = 'person' and name = person and roster.active = 1"
        " where service = ? and number = ? and account.active = 1",
        [USERS, number],
    )
    return row["person"] if row else None


def chat_of(db: Database, number: str) -> str:
    """The name of a group chat, whatever number it has by now."""
    row = one(db, "select person from account where service = ? and number = ?", [GROUPS, number])
    return row["person"] if row else number


def number_of(db: Database, chat: str) -> str | None:
    """The service's number of a chat: of a person's account, or of a group; None where a person has no account."""
    row = one(db, "select * from account where person = ? and active = 1 order by id desc limit 1", [chat])
    if row is None:
        return chat if chat.startswith("-") else None
    return str(row["number"]) if row["service"] == GROUPS or _listed(db, chat) else None


def moved(db: Database, chat: str, number: str, at: datetime) -> None:
    """A group goes on under another number."""
    if one(db, "select 1 from account where service = ? and number = ?", [GROUPS, number]) is None:
        message_id = record_import(db, "", at, "group moved")
        put(db, message_id, "account", service=GROUPS, number=number, person=chat)
        seal(db, message_id)


def new_invite(
    db: Database, message_id: int | None, role: str, person: str | None, at: datetime, hours: float = INVITE_HOURS,
    code: str | None = None,
) -> str:  # fmt: skip
    """A one-use code for somebody of that role, good for `hours`; only its hash is kept.

    `message_id` is the message that asked for it, None where it was asked for at the machine itself; `code` where it
    is made elsewhere (store/codes.py).
    """
    code = code or secrets.token_urlsafe(16)
    cause = message_id or record_import(db, person or "", at, f"invited: {role}")
    expires = epoch(at + timedelta(hours=hours))
    put(db, cause, "invite", code_hash=_hash(code), person=person, role=role, expires_at=expires)
    if message_id is None:
        seal(db, cause)
    return code


def live_invite(db: Database, code: str, at: datetime) -> Invite | None:
    """The unused invitation of that code; every live one is compared, in a time that does not depend on the code."""
    wanted, found = _hash(code), None
    for row in rows(db, "select * from invite where used_at is null and expires_at > ?", [epoch(at)]):
        if hmac.compare_digest(row["code_hash"], wanted):
            found = Invite(row["id"], row["person"], row["role"], instant(row["expires_at"]))
    return found


def let_in(db: Database, invite: Invite, number: str, given_name: str, at: datetime) -> str:
    """Uses the code up: the account belongs to a person of the list from now on; returns the person's name.

    Without a name in the invitation the given one is taken, with a number behind it where somebody has it already.
    """
    person = _on_file(db, invite.person) if invite.person else _free_name(db, given_name)
    message_id = record_import(db, person, at, "joined")
    if not _listed(db, person):
        set_up(db, message_id, "person", {"name": person, "role": invite.role})
    _bind(db, message_id, number, person)
    alter(db, message_id, "invite", invite.id, used_at=epoch(at))
    seal(db, message_id)
    return person


def let_desk_in(db: Database, client: str, number: str, at: datetime) -> str:
    """An account that scanned the label of a client's front desk: it may tell us something; returns its name."""
    message_id = record_import(db, client, at, "front desk joined")
    taken = {row["name"] for row in rows(db, "select name from roster where kind = 'person'")}
    person = next(n for n in (f"{client} desk", *(f"{client} desk {k}" for k in range(2, 10_000))) if n not in taken)
    set_up(db, message_id, "person", {"name": person, "role": DESK, "client": client})
    _bind(db, message_id, number, person)
    seal(db, message_id)
    return person


def _bind(db: Database, message_id: int, number: str, person: str) -> None:
    """One account a person: an earlier one of the same person, or person of the same account, is let go."""
    for row in rows(db, "select id from account where service = ? and person = ?", [USERS, person]):
        alter(db, message_id, "account", row["id"], active=0)
    known = one(db, "select id from account where service = ? and number = ?", [USERS, number])
    if known:
        alter(db, message_id, "account", known["id"], person=person, active=1)
    else:
        put(db, message_id, "account", service=USERS, number=number, person=person)


def _listed(db: Database, person: str) -> bool:
    row = row_of(db, "person", person)
    return bool(row and row["active"])


def _on_file(db: Database, name: str) -> str:
    """The name as the list writes it, capitals aside; the name itself where it is new."""
    known = {row["name"].casefold(): row["name"] for row in rows(db, "select name from roster where kind = 'person'")}
    return str(known.get(name.casefold(), name))


def _free_name(db: Database, given: str) -> str:
    """A name nobody has or had: letters of the given one, in small letters."""
    letters = "".join(c if c.isalpha() else " " for c in given).casefold().split()
    word = letters[0][:20] if letters else "member"
    taken = {row["name"].casefold() for row in rows(db, "select name from roster where kind = 'person'")}
    return next(n for n in (word, *(f"{word}{k}" for k in range(2, 10_000))) if n not in taken)


def _hash(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
