"""Orders about running waits, typed or pressed: out, more time, stop, answers; one table of what each does."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.assistant import (
    after_leaving,
    asking,
    climbing,
    closing,
    ending,
    gates,
    handover,
    open_ends,
    orders,
    overriding,
    people,
    running,
    status,
    which,
)
from bot.assistant.conversation import tank_in_hand
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control, Item
from bot.rules import gates as gate_rules
from bot.rules import waits as rules
from bot.rules.words import alike, names_only, says
from bot.store import waits as store
from bot.store.pending import Pending
from bot.wording import waits as wording

OVER_FIRST = ("asked", "gate", "running")
RUNNING_FIRST = ("asked", "running", "gate")
_ALL = "all, both, everything, every one, the lot"
BARE = {"yes", "ok", "no", "clear"}


def done(turn: Turn, item: Item) -> list[Part]:
    """ "out", "done": the wait that is over; early, where only a running one can be meant."""
    assert isinstance(item, Control)
    if _says_no_more(turn, item):
        return []
    back_on = open_ends.all_back_on(turn, item.tank or tank_in_hand(turn))
    if back_on is not None:
        return back_on
    found = which.meant(turn, item, OVER_FIRST)
    standing = [it for it in found if it.row.state == "running" and it.row.data.get("end")]
    found = [it for it in found if it not in standing or _names(item)]
    if not found:
        return [Part(lines=(wording.still_open([it.shown for it in standing]),))]
    if len(found) > 1:
        return status.all_out(turn, found) if says(turn.text, _ALL) else [which.ask(turn, found, "done", turn.text)]
    given = {"answers": item.answers} if item.answers and found[0].kind.gate else {}
    return gates.answer_item(turn, found[0], item) if given else ending.out(turn, found[0], item.at)


def ended_in_words(turn: Turn) -> list[Part] | None:
    """ "neons out", "corys are done too": the end of the one wait of this person whose thing the words name."""
    if not says(turn.text, _END_WORDS) or len(turn.text) > _SHORT:
        return None
    own = [w for w in store.open_waits(turn.db, owner=turn.who.name) if w.subject and not w.data.get("end")]
    named = [w for w in own if names_only(turn.text, f"{w.subject} {_ENDED}") and alike(turn.text, w.subject or "")]
    return ending.out(turn, running.of(turn, named[0])) if len(named) == 1 else None


_END_WORDS = "out, done, over, finished"
_ENDED = f"{_END_WORDS} are now too also already all taken"
_SHORT = 60


def _names(item: Control) -> bool:
    """Whether the order says which wait it means; a bare "done" switches nothing on."""
    return bool(item.wait or item.subject or item.number)


def _says_no_more(turn: Turn, item: Control) -> bool:
    """A bare word of ending ends nothing beside the end of something named ("acid bath emptied and rinsed") or beside
    leaving ("all done, heading out": then everything that is open is named)."""
    said = [i for i in turn.understood.items if isinstance(i, Control)]
    return not _names(item) and any(
        i.action == "leaving" or (i.action == "done" and (i.wait or i.subject)) for i in said
    )


def snooze(turn: Turn, item: Item) -> list[Part]:
    """ "10 more min": more time for the wait that is over, else for the running one."""
    assert isinstance(item, Control)
    found = which.meant(turn, item, RUNNING_FIRST)
    if not found:
        return [Part(lines=("Nothing of yours is running.",))]
    if len(found) > 1:
        return [which.ask(turn, found, f"more:{item.minutes or 0:g}", turn.text)]
    return closing.more(turn, found[0], item.minutes or running.more_min(found[0]))


def stop(turn: Turn, item: Item) -> list[Part]:
    """ "stop 2", "forget the drip": stopped, and not counted as done."""
    assert isinstance(item, Control)
    found = [it for s in OVER_FIRST for it in which.meant(turn, item, (s,))]
    if not found:
        return [Part(lines=("Nothing of yours is running.",))]
    return [which.ask(turn, found, "stop", turn.text)] if len(found) > 1 else closing.stop(turn, found[0])


def answer(turn: Turn, item: Item) -> list[Part]:
    """An answer beside other words, or a bare "ok": to the gate or the ping that it fits; to nothing, nothing."""
    assert isinstance(item, Control)
    taken = handover.answer(turn, item) or climbing.answer(turn, item) or _from_the_road(turn, item)
    if taken is not None:
        return taken
    found = _answered(turn, item)
    if not found:
        return _to_the_course(turn, item) or _of_a_colleague(turn, item)
    if len(found) > 1:
        return [which.ask(turn, found, "answer", turn.text)]
    it = found[0]
    to_ping = set(item.answers) <= BARE and it.row.state == "asked" and not gates.asks_itself(it)
    return gates.answer_item(turn, it, item) if it.kind.gate and not to_ping else ending.out(turn, it)


def _answered(turn: Turn, item: Control) -> list[Running]:
    """The waits that the answer could be for: a bare one for whatever is open, a named one for its own gate."""
    if set(item.answers) <= BARE:
        states = ("gate", "asked")
        return [it for s in states for it in which.meant(turn, item, (s,)) if _takes_bare(it, item)]
    for state in ("gate", "asked", "running"):
        found = [it for it in which.meant(turn, item, (state,)) if _takes(it, item)]
        if found:
            return found
    return []


def which_answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Which wait was meant is answered: what was ordered is done with it."""
    it = which.chosen(turn, question, value, text)
    if it is None:
        return None
    action, _, rest = str(question.data["action"]).partition(":")
    parts = _ACTS[action](turn, it, rest, str(question.data["words"]))
    return [*parts, *asking.settled(turn, question)]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """A button of a wait: "w:12:out"; nothing happens where the wait is closed."""
    row = store.find(turn.db, int(args[0]))
    act = _PRESSES.get(args[1])
    if row is None or not row.is_open or act is None:
        return []
    return act(turn, running.of(turn, row))


def time_answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The new length of a wait, after [Change time]."""
    minutes = orders.minutes_in(turn, text)
    row = store.find(turn.db, int(str(question.data["id"])))
    if minutes is None:
        return None
    if row is None or not row.is_open:
        return asking.settled(turn, question, "dropped")
    return [*_retimed(turn, running.of(turn, row), minutes), *asking.settled(turn, question)]


def _retimed(turn: Turn, it: Running, minutes: float) -> list[Part]:
    long = rules.length(it.kind, minutes)
    assert long is not None
    due = rules.after(it.row.started_at, long.minutes)
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, state="running", minutes=long.minutes, due_at=due, next_at=due, rung=0,
        data={**it.row.data, "stated": True, "told": [], "on_it": None, "reminded": False},
    )  # fmt: skip
    said = wording.put_off(running.of(turn, row).shown, turn.local(turn.now).date(), long.note == "longest")
    return [Part(said=(said,), tank=it.shown.place, stored=True)]


def _change_time(turn: Turn, it: Running) -> list[Part]:
    text = f"{it.shown.full}: how long in all? Minutes, or a time."
    return [Part(ask=Ask(text, (), "wait_time", "wait_time", None, {"id": it.id}))]


def _ring(turn: Turn, it: Running) -> list[Part]:
    """Rings at its own time after all, quiet hours or not."""
    if it.row.next_at == it.row.due_at:
        return []
    store.alter_wait(turn.db, turn.message_id, it.id, next_at=it.row.due_at, data={**it.row.data, "stated": True})
    return [Part(lines=(f"{it.shown.full}: rings at {it.shown.due:%H:%M}.",))]


def _more(turn: Turn, it: Running) -> list[Part]:
    return [] if it.row.state == "running" else closing.more(turn, it, running.more_min(it))


def _no_drip(turn: Turn, it: Running) -> list[Part]:
    """Straight to the match check, without the step that would follow."""
    if not closing.ready(turn, it):
        return [closing.too_early(turn, it)]
    return gates.open_gate(turn, it, turn.said_at) if it.row.state != "gate" else []


def _out(turn: Turn, it: Running) -> list[Part]:
    if it.row.state == "gate":
        return gates.ask_again(turn, it)
    answer = _one_press(it)
    return gates.answer(turn, it, answer) if answer else ending.out(turn, it)


def _one_press(it: Running) -> dict[str, str]:
    """The answer that the button of the ping itself gives, where its label is one ([Flow seen])."""
    queries = gates.gate_of(it).queries if it.kind.gate else ()
    return {q.key: a.key for q in queries for a in q.answers if a.label == it.kind.out}


def _takes(it: Running, item: Control) -> bool:
    """Whether one of the answers is one of its gate's."""
    return bool(it.kind.gate) and any(gate_rules.query_of(gates.gate_of(it), a) for a in item.answers)


def _takes_bare(it: Running, item: Control) -> bool:
    """Whether a bare yes, no or ok can be for it: a "no" only where a question is open."""
    return "no" not in item.answers or it.row.state == "gate" or gates.asks_itself(it)


def _to_the_course(turn: Turn, item: Control) -> list[Part]:
    """A smell or strip answer while the thing is still in bleach or rinse: its course is not through."""
    if not any(gate_rules.query_of(gate_rules.gate("G1"), a) for a in item.answers):
        return []
    course = [
        it for it in which.meant(turn, Control("answer", tank=item.tank), OVER_FIRST) if it.kind.course == "disinfect"
    ]
    heads = [f"HOLD {it.shown.full}: first rinse and neutralise, then smell and strip." for it in course[:1]]
    return [Part(head=head) for head in heads]


def _from_the_road(turn: Turn, item: Control) -> list[Part] | None:
    """ "going back", "desk can look": of what is over at the place that was left."""
    act = next((_ROAD[a] for a in item.answers if a in _ROAD), None)
    over = which.meant(turn, item, ("asked",)) if act else []
    return [p for it in over if it.kind.hurts for p in act(turn, it)] or None if act else None


_ROAD = {"going_back": after_leaving.going_back, "desk_can_look": after_leaving.desk_looks}


def _of_a_colleague(turn: Turn, item: Control) -> list[Part]:
    """An answer to what somebody else at the site has to answer: it is said whose it is, and nothing is counted."""
    if set(item.answers) <= BARE or len(turn.understood.items) > 1:
        return []
    here = store.open_at(turn.db, people.site_of(turn, tank_in_hand(turn)), turn.who.name)
    theirs = [it for it in (running.of(turn, w) for w in here if w.state == "gate") if _takes(it, item)]
    return [Part(lines=(wording.theirs_to_answer(it.shown, it.row.owner),)) for it in theirs[:1]]


_ACTS: dict[str, Callable[[Turn, Running, str, str], list[Part]]] = {
    "done": lambda turn, it, _, words: ending.out(turn, it),
    "more": lambda turn, it, minutes, words: closing.more(turn, it, float(minutes) or running.more_min(it)),
    "stop": lambda turn, it, _, words: closing.stop(turn, it),
    "answer": lambda turn, it, _, words: _answer_with(turn, it, words),
    "override": lambda turn, it, _, words: overriding.override(turn, it, words.partition(":")[2].strip() or words),
}
_PRESSES: dict[str, Callable[[Turn, Running], list[Part]]] = {
    "out": _out,
    "more": _more,
    "other": _no_drip,
    "time": _change_time,
    "ring": _ring,
    "hand": handover.press,
    "back": after_leaving.going_back,
    "desk": after_leaving.desk_looks,
}


def _answer_with(turn: Turn, it: Running, words: str) -> list[Part]:
    given = gate_rules.answers_in(words, gates.gate_of(it), gates.answers_of(it)) if it.kind.gate else {}
    return gates.answer(turn, it, given) if given else ending.out(turn, it)
