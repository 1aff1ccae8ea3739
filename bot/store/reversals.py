"""Taking a message back and putting it back in force: exact, and a row of its own each time."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.store import logbook
from bot.store.database import add, one, rows
from bot.store.journal import revert
from bot.store.waits import stop_unsaid


def take_back(db: Database, message_id: int, target_id: int, at: datetime) -> list[logbook.Fact]:
    """Voids the facts of `target_id` and reverts its changes, as part of `message_id`; returns the facts voided.

    A correction taken back brings the old value into force again. An edit is the message itself with other words:
    taking it back takes the message back, not only the last change of its words.
    """
    add(db, "reversal", message_id=message_id, target_id=target_id, what="undo")
    gone = [f for f in logbook.facts_of(db, [target_id]) if not f.void]
    for each in gone:
        logbook.void(db, message_id, each.id, "undo", at)
    edited = _is_edit(db, target_id)
    own = {target_id, *_put_back_by(db, target_id)}
    for each_id in () if edited else _voided_by(db, target_id):
        if logbook.last_voided_by(db, each_id) in own:
            logbook.restore(db, message_id, each_id, "undo", at)
    revert(db, message_id, target_id, own_only=edited)
    stop_unsaid(db, message_id, at)
    return gone


def put_back(db: Database, message_id: int, target_id: int, at: datetime) -> list[logbook.Fact]:
    """Puts what was taken back in force again; returns the facts restored."""
    undo = last_reversal(db, target_id)
    if undo is None or undo["what"] != "undo":
        return []
    add(db, "reversal", message_id=message_id, target_id=target_id, what="put_back")
    taken = [f for f in logbook.facts_of(db, [target_id]) if f.void]
    back = [f for f in taken if logbook.last_voided_by(db, f.id) == undo["message_id"]]
    for each in back:
        logbook.restore(db, message_id, each.id, "put back", at)
    for each_id in () if _is_edit(db, target_id) or not back else _replaced(db, target_id):
        logbook.void(db, message_id, each_id, "put back", at)
    revert(db, message_id, undo["message_id"])
    return back


def is_undone(db: Database, target_id: int) -> bool:
    """Whether the message is taken back at present."""
    last = last_reversal(db, target_id)
    return last is not None and last["what"] == "undo" and not _is_worded_anew(db, target_id, last["message_id"])


def _is_worded_anew(db: Database, target_id: int, since: int) -> bool:
    """Whether the message was edited after it had been taken back: then its new words stand in its place."""
    sql = (
        "select 1 from message e join message m on e.earlier = coalesce(m.earlier, m.id)"
        " where e.kind = 'edited' and m.id = ? and e.id > ?"
    )
    return one(db, sql, [target_id, since]) is not None


def last_reversal(db: Database, target_id: int) -> dict[str, Any] | None:
    """The latest taking back or putting back of the message."""
    return one(db, "select * from reversal where target_id = ? order by id desc limit 1", [target_id])


def last_with_effect(db: Database, who: str, before: int) -> int | None:
    """The newest message of that person that did something and is not taken back."""
    sql = (
        f"select m.id from message m where m.who = ? and m.id < ? and m.kind <> 'tick' and {_EFFECT} order by m.id desc"
    )
    return next((r["id"] for r in rows(db, sql + " limit 50", [who, before]) if not is_undone(db, r["id"])), None)


def last_undone(db: Database, who: str, before: int) -> int | None:
    """The message that this person took back last and that is still taken back."""
    sql = (
        "select r.target_id from reversal r join message m on m.id = r.message_id"
        " where m.who = ? and r.message_id < ? and r.what = 'undo' order by r.id desc limit 50"
    )
    return next((r["target_id"] for r in rows(db, sql, [who, before]) if is_undone(db, r["target_id"])), None)


# What counts as having done something: facts, facts taken out of force, or a changed state; not what the bot notes for
# itself (which tank is in hand, when late messages were written). An undo is no such message, it has its own way back.
_FOR_ITSELF = """j.tab = 'conversation' or coalesce(j.after, j.before) like '%"kind":"burst"%'
  or coalesce(j.after, j.before) like '%handler\\":\\"burst\\"%'"""
_EFFECT = f"""(
  exists (select 1 from fact f where f.message_id = m.id)
  or exists (select 1 from standing s where s.message_id = m.id)
  or exists (select 1 from journal j where j.message_id = m.id and not ({_FOR_ITSELF}))
) and not exists (select 1 from reversal r where r.message_id = m.id)
and not exists (
  select 1 from message e where e.kind = 'edited' and e.earlier = coalesce(m.earlier, m.id) and e.id > m.id
)"""


def _is_edit(db: Database, message_id: int) -> bool:
    return one(db, "select 1 from message where id = ? and kind = 'edited'", [message_id]) is not None


def _replaced(db: Database, target_id: int) -> list[int]:
    """What a correction takes out of force: the entry it is about, and whatever has taken its place meanwhile."""
    wrong = [f for i in _voided_by(db, target_id) if (f := logbook.fact(db, i))]
    others = [f for f in logbook.in_place_of(db, wrong) if f.message_id != target_id and not f.void]
    return [f.id for f in (*wrong, *others)]


def _put_back_by(db: Database, target_id: int) -> list[int]:
    """The messages that put it back in force."""
    sql = "select message_id from reversal where target_id = ? and what = 'put_back'"
    return [row["message_id"] for row in rows(db, sql, [target_id])]


def _voided_by(db: Database, message_id: int) -> list[int]:
    """Facts that the message itself took out of force (a correction, an edit)."""
    sql = "select fact_id from standing where message_id = ? and what = 'void' order by id"
    return [row["fact_id"] for row in rows(db, sql, [message_id])]
