"""Which wait is meant: of the message replied to, by number, by its words, or the only one; else it is asked."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant import running
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control
from bot.rules.words import alike, names_only
from bot.store import conversations, logbook, outbox, said
from bot.store import waits as store
from bot.store.pending import Pending
from bot.store.waits import WaitRow
from bot.wording import waits as wording

MOST = 3


def meant(turn: Turn, item: Control, states: Sequence[str]) -> list[Running]:
    """The waits that an order could mean, those in the first of the states that has any."""
    by_number = _numbered(turn, item.number) if item.number else None
    if by_number is not None:
        return [running.of(turn, by_number)]
    named = [w for w in referred(turn) or _of_this_person(turn, item) if _fits(w, item)]
    for state in states:
        found = [running.of(turn, w) for w in named if w.state == state]
        if found:
            return found
    return []


def referred(turn: Turn) -> list[WaitRow]:
    """The open waits of the message that is replied to: those that it shows, or those that it started."""
    reply_to = said.message(turn.db, turn.message_id)["reply_to"]
    if not reply_to:
        return []
    shown = outbox.sent_as(turn.db, turn.chat, reply_to)
    ids = [int(b.data.split(":")[1]) for b in outbox.buttons_of(shown) if b.data[:2] in ("w:", "g:")] if shown else []
    own = said.message_of(turn.db, turn.chat, reply_to)
    source = own["id"] if own else shown["message_id"] if shown else None
    facts = {f.id for f in logbook.facts_of(turn.db, [source])} if source and not ids else set()
    shown_now = [w for i in ids if (w := store.find(turn.db, i)) and w.is_open]
    return shown_now or store.open_of(turn.db, facts)


def ask(turn: Turn, found: Sequence[Running], action: str, text: str = "") -> Part:
    """Asks which one is meant; nothing is done before the answer."""
    options = tuple((wording.short(it.shown), str(it.id)) for it in found[:MOST])
    listed(turn, [it.row for it in found])
    lines = [f"{i} {it.shown.full}" for i, it in enumerate(found, start=1)]
    words = "Which one? " + " · ".join(lines)
    kept = {"action": action, "words": text, "ids": [it.id for it in found]}
    return Part(ask=Ask(words, options, "which_wait", "which_wait", None, kept))


def chosen(turn: Turn, question: Pending, value: str | None, text: str) -> Running | None:
    """The wait that the answer names, by number, by press or by its words; None where it names none."""
    ids = list(question.data["ids"])
    number = text.strip().rstrip(".")
    if value is None and number.isdigit() and 0 < int(number) <= len(ids):
        value = str(ids[int(number) - 1])
    open_rows = [w for i in ids if (w := store.find(turn.db, int(i))) and w.is_open]
    if value is None:
        fitting = [w for w in open_rows if names_only(text, _names(w))]
        return running.of(turn, fitting[0]) if len(fitting) == 1 else None
    row = next((w for w in open_rows if str(w.id) == value), None)
    return running.of(turn, row) if row else None


def listed(turn: Turn, rows: Sequence[WaitRow]) -> None:
    """Notes a list as it is shown, so that "stop 2" means the second of it."""
    known = conversations.conversation(turn.db, turn.chat)
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data={**known.data, "listed": [w.id for w in rows]})


def _numbered(turn: Turn, number: int) -> WaitRow | None:
    ids = conversations.conversation(turn.db, turn.chat).data.get("listed")
    if ids is None:
        ids = [w.id for w in store.open_waits(turn.db, owner=turn.who.name)]
    row = store.find(turn.db, int(ids[number - 1])) if 0 < number <= len(ids) else None
    return row if row and row.is_open else None


def _of_this_person(turn: Turn, item: Control) -> list[WaitRow]:
    """The person's own waits; where a tank or thing is named, a colleague's too."""
    own = store.open_waits(turn.db, owner=turn.who.name)
    told = [w for w in store.called_in(turn.db, turn.who.name) if w not in own and _is_told(w, turn.who.name)]
    if any(_fits(w, item) for w in (*own, *told)):
        return [*own, *told]
    return store.open_waits(turn.db, tank=item.tank) if item.tank else []


def _is_told(row: WaitRow, name: str) -> bool:
    return name in row.data.get("told", ())


def _fits(row: WaitRow, item: Control) -> bool:
    if item.wait and item.wait != row.kind:
        return False
    if item.subject and row.subject and not _named_in(item.subject, row):
        return False
    return not (item.tank and row.tank and _said_tank(item) and item.tank != row.tank)


def _said_tank(item: Control) -> bool:
    return bool(item.tank)


def _named_in(text: str, row: WaitRow) -> bool:
    return alike(text, _names(row))


def _names(row: WaitRow) -> str:
    return f"{row.subject or ''} {row.tank or ''} {row.vat or ''} {row.kind.replace('_', ' ')}"
