"""Taking back: one's own last message, or the one a button stands under; exact, and with a way back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.assistant import asking, leaving
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Item
from bot.messages import Button
from bot.store import logbook, reversals, said
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.wording import entries
from bot.wording import undoing as wording


def undo(turn: Turn, item: Item) -> list[Part]:
    """Takes back the last message of this person that did something."""
    target = reversals.last_with_effect(turn.db, turn.who.name, turn.message_id)
    if target is None:
        return [Part(lines=("Nothing of yours to take back.",))]
    return _ask_first(turn, target) if _is_old(turn, target) else _take_back(turn, target)


def put_back(turn: Turn, item: Item) -> list[Part]:
    """Puts in force again what this person took back last."""
    target = reversals.last_undone(turn.db, turn.who.name, turn.message_id)
    return _put_back(turn, target) if target else [Part(lines=("Nothing of yours was taken back.",))]


def press_undo(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Undo] under a reply: takes back the message that it answers, by its own author only, once."""
    target = int(args[0])
    if said.message(turn.db, target)["who"] != turn.who.name:
        return [Part(lines=("Only whoever said it can take it back.",))]
    if reversals.is_undone(turn.db, target):
        return [Part(lines=("Already taken back.",))]
    return _ask_first(turn, target) if _is_old(turn, target) else _take_back(turn, target)


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether an entry of an earlier visit is to be taken back all the same."""
    if value is None:
        return None
    target = int(question.data["target"])
    after = asking.settled(turn, question, "answered" if value == "yes" else "dropped")
    if value != "yes" or reversals.is_undone(turn.db, target):
        return [Part(lines=("It stands.",)), *after]
    return [*_take_back(turn, target), *after]


def press_put_back(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Put back] under what was taken back, once."""
    target = int(args[0])
    return _put_back(turn, target) if reversals.is_undone(turn.db, target) else [Part(lines=("It stands already.",))]


def _is_old(turn: Turn, target: int) -> bool:
    """Whether the entry is of an earlier visit, so that a wet thumb may have meant another."""
    hours = table("conversation")["earlier_visit"]["older_than"]
    return turn.now - said.written_at(said.message(turn.db, target)) > timedelta(hours=hours)


def _ask_first(turn: Turn, target: int) -> list[Part]:
    when = turn.local(said.written_at(said.message(turn.db, target)))
    facts = [f for f in logbook.facts_of(turn.db, [target]) if not f.void]
    what = _listed(turn, f"That was {entries.clock(when, turn.local(turn.now).date())}", target, facts)
    ask = Ask(
        f"{what}. Take it back?", (("Yes", "yes"), ("No", "no")), "old_undo", "which_time", None, {"target": target}
    )
    return [Part(ask=ask)]


def _take_back(turn: Turn, target: int) -> list[Part]:
    gone = reversals.take_back(turn.db, turn.message_id, target, turn.now)
    leaving.not_left(turn, [f.item for f in gone])
    doubted = [f for f in logbook.moved_by(turn.db, target, "confirm") if not f.void]
    head = wording.doubted(doubted[0].item) if doubted and not gone else _listed(turn, "Taken back", target, gone)
    back = logbook.moved_by(turn.db, turn.message_id, "restore")
    again = wording.stands_again([f.item for f in back], [f.item for f in gone])
    return [Part(head=head + again, buttons=(Button("Put back", f"p:{target}"),))]


def _put_back(turn: Turn, target: int) -> list[Part]:
    back = reversals.put_back(turn.db, turn.message_id, target, turn.now)
    return [Part(head=_listed(turn, "Put back", target, back or logbook.moved_by(turn.db, target, "confirm")))]


def _listed(turn: Turn, verb: str, target: int, facts: Sequence[Fact]) -> str:
    """What the message said, entry by entry; its words where nothing of it stands in the record."""
    tanks = list(dict.fromkeys(t for f in facts if (t := getattr(f.item, "tank", None))))
    if len(facts) > _MOST:
        return f"{verb}: {len(facts):,} entries, {len(tanks)} tank{'s' * (len(tanks) != 1)}."
    pieces = " · ".join(filter(None, (wording.piece(f.item) for f in facts)))
    pieces = pieces or wording.words(said.words_of(turn.db, target))
    return f"{verb}, {', '.join(tanks)}: {pieces}" if tanks else f"{verb}: {pieces}"


_MOST = 12  # more than that (an imported file) is counted, not listed
