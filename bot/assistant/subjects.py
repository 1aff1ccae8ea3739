"""Which subject takes what: the tables by which the desk finds its way. One line a subject; nothing is decided here."""

from __future__ import annotations

from bot.assistant import (
    arriving,
    asking,
    clarifying,
    corrections,
    doubles,
    events,
    helping,
    history,
    questions,
    readings,
    tasks,
    undoing,
)
from bot.assistant.turn import Subjects

SUBJECTS = Subjects(
    handlers={
        "reading": readings.take,
        "event": events.take,
        "question": questions.take,
        "correction": corrections.take,
        "task": tasks.take,
        "control.help": helping.take,
        "control.here": arriving.take,
        "control.history": history.take,
        "control.undo": undoing.undo,
        "control.put_back": undoing.put_back,
    },
    presses={
        "q": asking.press_answer,
        "u": undoing.press_undo,
        "p": undoing.press_put_back,
    },
    answers={
        "clarify": clarifying.answer,
        "double": doubles.answer,
    },
    due={
        "task": tasks.due,
    },
    due_waits=lambda turn, waits: [],
    after=(clarifying.ask_back,),
)
