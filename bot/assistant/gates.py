"""The gate of a wait: its questions one by one, what each answer does, and going on with a reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from bot.assistant import closing, courses, measured, running, which
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Reading, Understood
from bot.messages import Button
from bot.rules import gates as rules
from bot.rules import waits as wait_rules
from bot.rules.gates import Gate, Query
from bot.store import journal, reversals
from bot.store import waits as store
from bot.wording import gates as wording


def open_gate(turn: Turn, it: Running, at: datetime) -> list[Part]:
    """The wait is over, its checks are not answered: HOLD, with the first question."""
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, state="gate", ended_at=at, next_at=_again_at(turn, it), rung=0,
        data={**it.row.data, "answers": answers_of(it), "pinged_at": turn.now.timestamp(), "told": []},
    )  # fmt: skip
    return [*_stood_down(turn, it), *ask_again(turn, running.of(turn, row))]


def ask_again(turn: Turn, it: Running) -> list[Part]:
    """Puts the question that is open."""
    query = rules.open_query(gate_of(it), answers_of(it))
    if query is None:
        return _through(turn, it)
    return [Part(head=wording.hold(it.shown.full, query.ask), lines=_why(turn, it), buttons=buttons(it, query))]


def _why(turn: Turn, it: Running) -> tuple[str, ...]:
    """One line of why, for those who learn."""
    why = table("glossary")["why"].get(it.kind.gate) if turn.who.role == "learner" else None
    return (str(why),) if why else ()


def _stood_down(turn: Turn, it: Running) -> list[Part]:
    others = tuple(o for o in closing.stand_down(turn, it) if o.to != it.row.owner)  # theirs still, until it is through
    return [Part(others=others)] if others else []


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """A button of a gate: "g:12:smell:no_smell"; one of a question answered before does nothing."""
    row = store.find(turn.db, int(args[0]))
    if row is None or not row.is_open or row.data.get("answers", {}).get(args[1]) == args[2]:
        return []
    it = running.of(turn, row)
    query = rules.open_query(gate_of(it), answers_of(it)) if it.kind.gate else None
    return answer(turn, it, {args[1]: args[2]}) if query and query.key == args[1] else []


def answer_in_words(turn: Turn) -> list[Part] | None:
    """What comes of a message that is nothing but the answer to a gate; None where it is not."""
    if any(isinstance(i, Reading) for i in turn.understood.items):
        return None  # numbers are kept first; what they answer is looked at behind them
    waiting = [(it, given) for it in _gates_before(turn) if (given := _answers_in(turn.text, it))]
    if not waiting or not _is_only_answer(turn.text, *waiting[0]):
        return None
    if not which.referred(turn) and _others_wait(turn, waiting):
        return None
    if len(waiting) == 1:
        return answer(turn, *waiting[0])
    return [which.ask(turn, [it for it, _ in waiting], "answer", turn.text)]


def by_numbers(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """What the readings of the message answer of an open gate: ammonia and nitrite before animals leave the bag."""
    tested = {i.parameter for i in understood.items if isinstance(i, Reading) and i.of == "tank"}
    if not tested & set(measured.TESTS):
        return []
    waiting = [it for it in _gates_before(turn) if it.row.state == "gate" and it.kind.gate == "G4"]
    asked = [it for it in waiting if (q := rules.open_query(gate_of(it), answers_of(it))) and q.key == measured.QUERY]
    given = measured.answers(turn, asked[0].row) if len(asked) == 1 else {}
    return answer(turn, asked[0], given) if given else []


def answer_item(turn: Turn, it: Running, item: Control) -> list[Part]:
    """The answers that a message named beside other things."""
    given = {q.key: a for a in item.answers if (q := rules.query_of(gate_of(it), a))} if it.kind.gate else {}
    given = given or (_answers_in(turn.text, it) if it.kind.gate else {})
    return answer(turn, it, given) if given else ask_again(turn, it)


def answered_beside(turn: Turn, it: Running) -> dict[str, str]:
    """The answers to its questions that stand elsewhere in the message ("pump on and i see flow")."""
    said = [a for i in turn.understood.items if isinstance(i, Control) for a in i.answers]
    return {q.key: a for a in said if (q := rules.query_of(gate_of(it), a))}


def answer(turn: Turn, it: Running, given: Mapping[str, str]) -> list[Part]:
    """Takes answers: through, the next question, back a step, or held."""
    if not closing.ready(turn, it, it.row.ended_at):
        return [closing.too_early(turn, it)]
    gate, given = gate_of(it), measured.corrected(turn, it.row, given)
    refused = next((a for q in gate.queries if (a := q.answer(given.get(q.key))) and a.then == "again"), None)
    if refused and gate.back_to:
        return _back(turn, it, gate, refused.key, refused.says)
    it = note(turn, it, {**answers_of(it), **given})
    held = rules.held(gate, answers_of(it))
    if held:
        return [_held(turn, it, held.says)]
    return ask_again(turn, it)


def unanswered_by(turn: Turn, earlier: int) -> list[int]:
    """The gates that an edited message had answered: whatever was built on its answer is taken back with it."""
    changed = journal.changes(turn.db, "wait", earlier)
    answered = [row_id for row_id, before, after in changed if _gave_answer(before, after)]
    for row_id in answered:
        for later in journal.later_changes(turn.db, "wait", row_id, earlier):
            reversals.take_back(turn.db, turn.message_id, later, turn.now)
    return answered


def put_again(turn: Turn, ids: Sequence[int]) -> list[Part]:
    """The questions of gates that are open again."""
    rows = [row for i in ids if (row := store.find(turn.db, i)) and row.is_open and row.state == "gate"]
    return [part for row in rows for part in ask_again(turn, running.of(turn, row))]


def _gave_answer(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> bool:
    """Whether a change of a wait put an answer to its gate."""
    return len(store.answers_in(after)) > len(store.answers_in(before))


def gate_of(it: Running) -> Gate:
    """The gate that keeps this wait."""
    assert it.kind.gate
    return rules.gate(it.kind.gate)


def answers_of(it: Running) -> dict[str, str]:
    """What has been answered so far."""
    return dict(it.row.data.get("answers", {}))


def buttons(it: Running, query: Query) -> tuple[Button, ...]:
    """The answers as buttons."""
    return tuple(Button(a.label, f"g:{it.id}:{query.key}:{a.key}") for a in query.answers)


def _gates_before(turn: Turn) -> list[Running]:
    """The gates that this person could be answering: of the message replied to, else those open to them."""
    found = which.referred(turn) or [w for w in store.open_waits(turn.db) if _is_asked(turn, w)]
    waits = [running.of(turn, w) for w in found]
    open_now = [it for it in waits if it.kind.gate and it.row.state == "gate"]
    return open_now or [it for it in waits if it.kind.gate and it.row.state == "asked"]


def _is_asked(turn: Turn, row: store.WaitRow) -> bool:
    """Whether the gate is this person's to answer: their own, or one that they have gone on past with a reason."""
    return row.owner == turn.who.name or (row.state == "gate" and row.data.get("held_by") == turn.who.name)


def _others_wait(turn: Turn, waiting: Sequence[tuple[Running, dict[str, str]]]) -> bool:
    """Whether a bare word could be for another ping as well: then it is asked which."""
    bare = not any(rules.sure_answers_in(turn.text, gate_of(it)) for it, _ in waiting)
    open_now = [w for w in store.open_waits(turn.db, owner=turn.who.name) if w.state in ("asked", "gate")]
    return bare and len(open_now) > len(waiting) and waiting[0][0].row.state != "gate"


def asks_itself(it: Running) -> bool:
    """Whether the ping itself puts the first question of the gate ([Flow seen])."""
    return bool(it.kind.gate) and any(a.label == it.kind.out for q in gate_of(it).queries for a in q.answers)


def _answers_in(text: str, it: Running) -> dict[str, str]:
    """Answers by any words while the question is open; before that only by words that leave no doubt."""
    if it.row.state != "gate" and not asks_itself(it):
        return rules.sure_answers_in(text, gate_of(it))
    return rules.answers_in(text, gate_of(it), answers_of(it))


def _is_only_answer(text: str, it: Running, given: Mapping[str, str]) -> bool:
    return rules.is_only(text, gate_of(it), given)


def _through(turn: Turn, it: Running) -> list[Part]:
    """All is answered: CHECKED, or OVERRIDDEN where somebody went on with a reason."""
    answers = tuple(answers_of(it).values())
    done = closing.finish(turn, it, it.row.ended_at, answers=answers, reason=it.row.data.get("reason"))
    others = tuple(o for part in done for o in part.others)
    clock = f"{turn.local(turn.said_at):%H:%M}"
    overridden = it.row.data.get("overridden")
    if overridden:
        owners = [p.name for p in turn.team.with_role("owner")]
        head = wording.overridden(it.shown, clock, turn.who.name, overridden)
        return [
            Part(head=head, stored=True, lines=(wording.reason_kept(owners),), others=others),
            *_next_gate(turn, it),
        ]
    checked = Part(
        head=wording.checked(it.shown, clock), stored=True, others=others, buttons=running.evidence(it.row)
    )  # fmt: skip
    return [checked, *_next_gate(turn, it)]


def _next_gate(turn: Turn, it: Running) -> list[Part]:
    """Another gate of the same person at the same place, so that it is not forgotten."""
    others = [running.of(turn, w) for w in store.open_waits(turn.db, owner=it.row.owner, tank=it.row.tank)]
    waiting = next((o for o in others if o.row.state == "gate" and o.id != it.id), None)
    return ask_again(turn, waiting) if waiting else []


def _back(turn: Turn, it: Running, gate: Gate, answer_key: str, says: str) -> list[Part]:
    """The check failed: back a step of the course, for its shortest time again."""
    assert gate.back_to
    closing.close(turn, it, "stopped", turn.said_at, outcome=answer_key)
    turn.keep(Control("answer", tank=it.row.tank, wait=it.row.kind, subject=it.row.subject, answers=(answer_key,)))
    shortest = running.kind_of(turn, it.kind.wait, gate.back_to, None).shortest
    again = courses.follow(turn, it, gate.back_to, turn.said_at, shortest)
    head = wording.hold(it.shown.full, says.format(again=wording.again(gate.back_to, shortest)))
    return [Part(head=head), again]


def note(turn: Turn, it: Running, answers: Mapping[str, str], **data: object) -> Running:
    at = it.row.ended_at or turn.said_at
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, state="gate", ended_at=at, next_at=_again_at(turn, it), rung=0,
        data={**it.row.data, "answers": dict(answers), "pinged_at": turn.now.timestamp(), **data},
    )  # fmt: skip
    return running.of(turn, row)


def _again_at(turn: Turn, it: Running) -> datetime | None:
    """When the open question is put again: only where animals wait behind it."""
    return wait_rules.after(turn.now, it.kind.ask_again) if it.kind.ask_again else None


def _held(turn: Turn, it: Running, says: str) -> Part:
    query = rules.open_query(gate_of(it), answers_of(it))
    assert query
    key = answers_of(it)[query.key]
    store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "held": key})
    return Part(head=wording.hold(it.shown.full, says), buttons=buttons(it, query))
