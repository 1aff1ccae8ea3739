"""What must still be told. Written in the transaction of what caused it; crossed off only after delivery."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

from sqlite_utils import Database

from bot.messages import Button, Outgoing
from bot.store import removals
from bot.store.codes import filled_in
from bot.store.database import add, change, epoch, instant, one, rows


def post(db: Database, message: Outgoing, at: datetime, message_id: int | None = None, urgent: bool = False) -> int:
    """Puts a message out for delivery; `message_id` is what it answers. Urgent ones (pings, alerts) go first."""
    buttons = [[button.label, button.data] for button in message.buttons]
    return add(
        db, "outbox", message_id=message_id, chat=message.to, topic=message.topic, text=message.text,
        buttons=buttons, files=list(message.files), unasked=int(message.unasked), sound=int(message.sound),
        urgent=int(urgent), reply_to=message.reply_to, created_at=at, lasts_min=message.lasts_min,
    )  # fmt: skip


def unsent(db: Database, limit: int = 100) -> list[dict[str, Any]]:
    """Rows that wait for delivery, urgent ones first, each chat's own in order."""
    sql = "select * from outbox where sent_at is null and parked is null order by urgent desc, id limit ?"
    return [_ready(db, row) for row in rows(db, sql, [limit])]


def heads(db: Database) -> list[dict[str, Any]]:
    """The next row of each chat that waits for delivery, urgent ones first."""
    open_rows = "sent_at is null and parked is null"
    most = f"select chat, max(urgent) as urgent from outbox where {open_rows} group by chat"
    first = f"select min(id) from outbox o where {open_rows} and o.chat = m.chat and o.urgent = m.urgent"
    sql = f"select * from outbox where id in (select ({first}) from ({most}) m) order by urgent desc, id"
    return [_ready(db, row) for row in rows(db, sql)]


def _ready(db: Database, row: dict[str, Any]) -> dict[str, Any]:
    """The row as it is delivered: door codes stand in it from here on, never in the table."""
    return row | {"text": filled_in(db, row["text"])}


def crossed_off(db: Database, row_id: int, at: datetime, ref: str | None = None) -> None:
    """Delivered; `ref` is the number that the chat service gave the message."""
    change(db, "outbox", row_id, sent_at=at, ref=ref)
    row = one(db, "select chat, lasts_min from outbox where id = ?", [row_id])
    if ref and row and row["lasts_min"]:
        removals.plan(db, row["chat"], ref, at + timedelta(minutes=row["lasts_min"]))


def put_off(db: Database, row_id: int, until: datetime) -> None:
    """Not delivered; to be tried again at `until`."""
    db.conn.execute("update outbox set tries = tries + 1, next_try_at = ? where id = ?", [epoch(until), row_id])


def try_at_once(db: Database) -> None:
    """What was put off may be tried now."""
    db.conn.execute("update outbox set next_try_at = null where next_try_at is not null and sent_at is null")


def without_topic(db: Database, row_id: int) -> None:
    """Its topic is gone: it goes to the group itself."""
    change(db, "outbox", row_id, topic=None)


def park(db: Database, row_id: int, why: str) -> None:
    """Cannot be delivered (blocked, refused); kept with the reason."""
    change(db, "outbox", row_id, parked=why)


def buttons_of(row: dict[str, Any]) -> tuple[Button, ...]:
    """The buttons under an outbox row."""
    return tuple(Button(label, data) for label, data in json.loads(row["buttons"]))


def as_outgoing(row: dict[str, Any]) -> Outgoing:
    """An outbox row as the message it is."""
    return Outgoing(
        to=row["chat"], text=row["text"], buttons=buttons_of(row), files=tuple(json.loads(row["files"])),
        unasked=bool(row["unasked"]), sound=bool(row["sound"]), topic=row["topic"], reply_to=row["reply_to"],
        lasts_min=row["lasts_min"],
    )  # fmt: skip


def shown_in(db: Database, chat: str, data: str) -> dict[str, Any] | None:
    """The latest message in the chat that shows a button carrying `data`: None means the button is forged."""
    found = rows(db, "select * from outbox where chat = ? and buttons <> '[]' order by id desc limit 200", [chat])
    return next((row for row in found if any(b.data == data for b in buttons_of(row))), None)


def labelled(db: Database, chat: str, label: str) -> Button | None:
    """The button of that label on the latest message in the chat that shows it."""
    if len(label) > _LONGEST_LABEL:
        return None
    latest = "select id, buttons from outbox where chat = ? and buttons <> '[]' order by id desc limit 200"
    like = f"%{json.dumps(label)[1:-1]}%" if label.isascii() else "%"
    found = rows(db, f"select buttons from ({latest}) where buttons like ? order by id desc", [chat, like])
    return next((b for row in found for b in buttons_of(row) if b.label.casefold() == label.casefold()), None)


_LONGEST_LABEL = 64
"""More than any button shows; a longer text is not compared with all of them."""


def sent_as(db: Database, chat: str, ref: str) -> dict[str, Any] | None:
    """The outbox row that the chat knows as `ref`: what a reply to the bot's own message points at."""
    return one(db, "select * from outbox where chat = ? and ref = ?", [chat, ref])


def told_of(db: Database, chat: str, ref: str) -> dict[str, Any] | None:
    """The message of another chat by that ref of which the bot told this chat something."""
    sql = (
        "select m.* from message m join outbox o on o.message_id = m.id where m.ref = ? and o.chat = ? and m.chat <> ?"
    )
    return one(db, f"{sql} order by o.id desc limit 1", [ref, chat, chat])


def last_unasked(db: Database, chat: str, opening: str, since: datetime) -> datetime | None:
    """When the bot last said something unasked in the chat that opens with those words, since then."""
    sql = "select max(created_at) as at from outbox where chat = ? and unasked = 1 and created_at >= ?"
    row = one(db, f"{sql} and substr(text, 1, ?) = ?", [chat, epoch(since), len(opening), opening])
    return instant(row["at"]) if row and row["at"] is not None else None
