"""A message from the first word to the answer: who and what, understood, kept, judged, quoted back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, TypeVar

from sqlite_utils import Database

from bot.assistant import (
    acts,
    asking,
    away,
    borrowed,
    consequences,
    conversation,
    gates,
    hearing,
    labels,
    late,
    learner,
    leaving,
    lookups,
    photos,
    replies,
    reports,
    tasks,
    tell_us,
    typed,
)
from bot.assistant.dispatch import parts_of
from bot.assistant.strangers import turn_away
from bot.assistant.turn import Part, Subjects, Turn
from bot.items import Clarify, Understood
from bot.messages import Edited, Incoming
from bot.rules.codes import masked
from bot.store import logbook, removals, reversals, said, waits
from bot.store.journal import revert
from bot.store.roster import load_team
from bot.team import Person, Team


def take(db: Database, message: Incoming, subjects: Subjects) -> int | None:
    """A new message: one delivered twice, or from a stranger, does nothing."""
    team = load_team(db)
    if team.person(message.who) is None:
        if desk := team.desk(message.who):
            return _of_desk(db, message, desk, team, subjects)
        turn_away(db, message.chat, message.at)
        return None
    message = replace(message, who=borrowed.speaker(db, team, message.chat, message.who, message.at))
    who = team.person(message.who)
    assert who is not None
    message, codes = _without_codes(message)
    message_id = said.record(db, message)
    if message_id is None:
        return None
    if codes:
        removals.plan(db, message.chat, message.ref, message.at)
    _work(replace(_turn(db, message_id, message, who, team, subjects), codes=codes))
    return message_id


def _of_desk(db: Database, message: Incoming, desk: Person, team: Team, subjects: Subjects) -> int | None:
    """From a client's front desk, in its own chat: no member of the team."""
    message, _ = _without_codes(message)
    message_id = said.record(db, message) if message.chat == message.who else None
    if message_id is not None:
        turn = _turn(db, message_id, message, desk, team, subjects)
        replies.send(turn, tell_us.take(turn))
    return message_id


Words = TypeVar("Words", Incoming, Edited)


def _without_codes(message: Words) -> tuple[Words, tuple[str, ...]]:
    """The message as it may be kept, and the door codes that were in it."""
    found = masked(message.text)
    return (replace(message, text=found.text), found.codes) if found.codes else (message, ())


def take_edit(db: Database, edit: Edited, subjects: Subjects) -> int | None:
    """An edited message: what was read from the old words goes out of force, the new words are read."""
    team = load_team(db)
    edit, codes = _without_codes(edit)
    edit = replace(edit, who=borrowed.speaker(db, team, edit.chat, edit.who, edit.at))
    who, first = team.person(edit.who), said.message_of(db, edit.chat, edit.ref)
    if who is None or first is None:
        return None
    earlier = said.latest_wording(db, first["id"])
    if said.message(db, earlier)["text"] == edit.text:
        return None
    message_id = said.record(db, edit, earlier=first["id"])
    if message_id is None:
        return None
    turn = replace(_turn(db, message_id, edit, who, team, subjects, written=said.written_at(first)), codes=codes)
    turn = replace(turn, situation=conversation.of_edit(turn, logbook.facts_of(db, [earlier])))
    reopened = gates.unanswered_by(turn, earlier)
    old = _withdraw(turn, earlier)
    _work(turn, old, reopened)
    return message_id


def _turn(
    db: Database,
    message_id: int,
    message: Incoming | Edited,
    who: Person,
    team: Team,
    subjects: Subjects,
    written: datetime | None = None,
) -> Turn:
    extra: dict[str, Any] = {k: getattr(message, k, None) for k in ("topic", "photo", "file", "ref")}
    turn = Turn(
        db=db,
        message_id=message_id,
        now=message.at,
        who=who,
        chat=who.name if getattr(message, "group", False) else message.chat,
        team=team,
        subjects=subjects,
        text=message.text,
        said_at=written or getattr(message, "sent_at", None) or message.at,
        group=message.chat if getattr(message, "group", False) else None,
        live=getattr(message, "live", False),
        heard=getattr(message, "heard", False),
        **extra,
    )
    reply_to = getattr(message, "reply_to", None)
    turn = replace(turn, replied=conversation.replied_message(db, message.chat, reply_to))
    return replace(turn, situation=conversation.situation(turn))


def _work(turn: Turn, old: list[logbook.Fact] | None = None, reopened: Sequence[int] = ()) -> None:
    understood = turn.understood
    photo = [*hearing.unheard(turn), *photos.filed(turn, understood)] if old is None else []
    answered = None if _is_urgent(understood) else _answered(turn)
    if answered is not None:
        conversation.carry_on(turn, Understood())
        after = [*consequences.of_message(turn), *reports.follow(turn), *away.said_once(turn)]
        replies.send(turn, [*photo, *answered, *after], old=old or [])
        return
    at_once, lateness = late.sift(turn, understood) if old is None else (understood, [])
    parts: list[Part] = [*photo, *parts_of(turn, at_once), *lateness, *gates.put_again(turn, reopened)]
    parts += [*consequences.of_message(turn), *reports.follow(turn), *away.said_once(turn)]
    parts = parts if turn.file or old is not None else [*parts, *lookups.small_talk(turn, understood, parts)]
    conversation.carry_on(turn, understood, looks_back=old is not None)
    replies.send(turn, parts, unread=() if turn.file else _unread(understood, parts), old=old or [])


def _unread(understood: Understood, parts: Sequence[Part]) -> Sequence[str]:
    """The words nobody understood; none where they were no entry but called for a warning."""
    entries = [i for i in understood.items if not isinstance(i, Clarify)]
    return understood.unread if entries or not any(p.warns for p in parts) else ()


def _is_urgent(understood: Understood) -> bool:
    """Whether somebody is hurt: then nothing else is answered first."""
    return any(getattr(item, "action", None) == "person_hurt" for item in understood.items)


def _answered(turn: Turn) -> list[Part] | None:
    """What comes of a message that is nothing but an answer: to the open question, to a gate, or a button's label."""
    for way in (
        labels.scanned,
        asking.answer_in_words,
        leaving.then(gates.answer_in_words),
        leaving.then(acts.ended_in_words),
        typed.press,
        tell_us.answer_in_reply,
        learner.answer_in_reply,
        learner.known_in_words,
        tasks.done_in_words,
    ):
        parts = way(turn)
        if parts is not None:
            return parts
    return None


def _withdraw(turn: Turn, earlier: int) -> list[logbook.Fact]:
    """Takes the earlier wording out of force, and whatever corrected it; returns the facts that were in force."""
    read = logbook.facts_of(turn.db, [earlier])
    gone = [*read, *logbook.in_place_of(turn.db, read)]
    for each in gone:
        logbook.void(turn.db, turn.message_id, each.id, "edit", turn.now)
    if not reversals.is_undone(turn.db, earlier):
        revert(turn.db, turn.message_id, earlier, own_only=True)
    waits.stop_unsaid(turn.db, turn.message_id, turn.now)
    return [f for f in gone if not f.void]
