"""Questions that the bot puts: one open at a time, answered by a press or in words, never blocking."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant.turn import Ask, Part, Turn
from bot.items import Correction
from bot.items_json import as_json
from bot.messages import Button, Outgoing
from bot.store import logbook, pending
from bot.store.pending import Pending
from bot.wording.reply import short_labels


def put(turn: Turn, asks: Sequence[Ask]) -> tuple[str | None, tuple[Button, ...]]:
    """Notes the questions of a message; the first is put now, the rest wait. Returns its words and buttons."""
    if not asks:
        return None, ()
    while earlier := pending.open_question(turn.db, turn.chat):
        pending.settle(turn.db, turn.message_id, earlier.id, "waiting")
    noted = [_note(turn, ask, "open" if ask is asks[0] else "waiting") for ask in asks]
    return asks[0].text, _options(noted[0])


def answer_in_words(turn: Turn) -> list[Part] | None:
    """The parts that come of a message which answers the chat's open question; None where it does not."""
    question = None if turn.group else pending.open_question(turn.db, turn.chat)
    if turn.group or _is_order(turn) or (question and _puts_right_what_came_later(turn, question)):
        return None
    value = _chosen(question, turn) if question else None
    parts = turn.subjects.answers[question.data["handler"]](turn, question, value, turn.text) if question else None
    return parts if parts is not None or value is not None else _of_one_waiting(turn, question)


def _of_one_waiting(turn: Turn, open_now: Pending | None) -> list[Part] | None:
    """The words are an answer to a question put before, the latest that has it among its options."""
    waiting = [
        q for q in pending.unanswered(turn.db, turn.chat) if q.asked_at and (not open_now or q.id != open_now.id)
    ]
    fitting = [(q, value) for q in waiting if (value := _chosen(q, turn)) is not None]
    if not fitting:
        return None
    question, value = max(fitting, key=lambda each: (each[0].asked_at, each[0].id))
    return turn.subjects.answers[question.data["handler"]](turn, question, value, turn.text)


def _is_order(turn: Turn) -> bool:
    """ "done for today", "undo", "whats running": orders of their own, which answer no question."""
    said = turn.understood.items
    return bool(said) and all(getattr(i, "action", "") in _ORDERS for i in said)


def _puts_right_what_came_later(turn: Turn, question: Pending) -> bool:
    """ "I meant 8.3" is of one's last entry, not of one that was asked about before it."""
    said = turn.understood.items
    last = logbook.last_said_of_a_tank(turn.db, turn.who.name, turn.message_id)
    return len(said) == 1 and isinstance(said[0], Correction) and last is not None and last > question.message_id


_ORDERS = ("leaving", "undo", "put_back", "status", "today")


def answer_by_press(turn: Turn, question: Pending, index: int) -> list[Part]:
    """The parts that come of pressing the answer of that place."""
    value = str(question.options[index])
    return turn.subjects.answers[question.data["handler"]](turn, question, value, "") or []


def settled(turn: Turn, question: Pending, state: str = "answered") -> list[Part]:
    """Closes a question; the next one that was never put is put now."""
    pending.settle(turn.db, turn.message_id, question.id, state, data={**question.data, "by": turn.message_id})
    waiting = [q for q in pending.unanswered(turn.db, turn.chat) if q.asked_at is None]
    return [put_again(turn, waiting[0])] if waiting else []


def drop_about(turn: Turn, fact_id: int) -> None:
    """Drops the questions about an entry that is no longer in force."""
    for question in pending.unanswered(turn.db, turn.chat):
        if question.data.get("fact") == fact_id:
            pending.settle(turn.db, turn.message_id, question.id, "dropped")


def put_again(turn: Turn, question: Pending) -> Part:
    """Puts a waiting question."""
    again = question.asked_again + (question.asked_at is not None)
    pending.settle(turn.db, turn.message_id, question.id, "open", asked_at=turn.now, asked_again=again)
    return Part(lines=(str(question.data["text"]),), buttons=_options(question))


def again_unasked(turn: Turn, question: Pending) -> Part:
    """Puts a question that nobody answered once more, with a sound: something hangs on it."""
    pending.settle(turn.db, turn.message_id, question.id, "open", asked_again=question.asked_again + 1)
    again = Outgoing(question.chat, str(question.data["text"]), _options(question), unasked=True, sound=True)
    return Part(others=(again,), urgent=True)


def _note(turn: Turn, ask: Ask, state: str) -> Pending:
    labels = [label for label, _ in ask.options]
    return pending.ask(
        turn.db, turn.message_id, turn.chat, turn.who.name, ask.why, as_json(ask.item) if ask.item else {},
        tuple(value for _, value in ask.options), state, turn.now if state == "open" else None,
        handler=ask.handler, text=ask.text, labels=labels, **ask.data,
    )  # fmt: skip


def _options(question: Pending) -> tuple[Button, ...]:
    labels = short_labels(question.data.get("labels", question.options))
    return tuple(Button(label, f"q:{question.id}:{i}") for i, label in enumerate(labels))


def _chosen(question: Pending, turn: Turn) -> str | None:
    """The option that the words name: by its label, its value, or a usual word for it ("yep")."""
    return _named(question, turn.text) or _meant(question, turn)


def _meant(question: Pending, turn: Turn) -> str | None:
    understood = turn.understood
    if understood.unread or len(understood.items) != 1:
        return None
    answers = getattr(understood.items[0], "answers", ())
    usual = [value for each in answers for value in (each, *_USUALLY.get(each, ()))]
    return next((value for value in usual if value in question.options), None)


# What the words of a usual answer mean where the question has that option.
_USUALLY: dict[str, tuple[str, ...]] = {
    "yes": ("confirm",),
    "ok": ("confirm",),
    "same_value": ("confirm",),
    "same_one": ("same",),
    "poured_too": ("too",),
    "on_it": ("too",),
    "no": ("drop",),
    "skip": ("drop",),
}


def _named(question: Pending, text: str) -> str | None:
    said = text.strip().strip(".!").casefold()
    labels = question.data.get("labels", question.options)
    pairs = zip(labels, question.options, strict=True)
    return next((str(v) for label, v in pairs if said in (label.casefold(), str(v).casefold())), None)


def press_answer(turn: Turn, args: Sequence[str]) -> list[Part]:
    """A button under a question: its answer counts once, while the question is unanswered."""
    question = pending.find(turn.db, int(args[0]))
    if question is None or question.state not in ("open", "waiting"):
        return []
    return answer_by_press(turn, question, int(args[1]))
