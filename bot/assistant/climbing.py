"""The ladder: a wait that can hurt and stays unanswered goes again, to the next person, to the owner, to all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.assistant import people, running
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.messages import Button, Outgoing
from bot.rules import gates as gate_rules
from bot.rules import ladder
from bot.rules.waits import minutes_between
from bot.store import waits as store
from bot.store.database import instant
from bot.wording import climbing as wording
from bot.wording import waits as wait_words


def climb(turn: Turn, it: Running) -> list[Part]:
    """The rungs that are due by now, all at once; then the moment of the next."""
    if it.row.state == "gate" and not it.row.data.get("reminded"):
        return _ask_gate_again(turn, it)
    rung, groups = ladder.climbed(_pinged_at(it), it.row.rung, turn.now, it.ladder)
    return _tell(turn, it, rung, groups)


def instead_of_driver(turn: Turn, it: Running) -> list[Part]:
    """Somebody else is asked at once, because the holder is at the wheel."""
    name = people.next_after(turn, it.row.owner, it.row.tank)
    if name is None:
        return []
    store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "told": [name]})
    driver = people.told(turn, it.row.owner, wording.when_parked(name))
    words = wording.called_in(it.shown, f"{it.row.owner} is driving", it.kind.over, _desk(turn, it))
    return [Part(others=(driver, people.told(turn, name, words, _buttons(it), sound=True)), urgent=True)]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[I'm on it] and [Can't] under a call."""
    row = store.find(turn.db, int(args[0]))
    if row is None or not row.is_open:
        return [Part(lines=("Answered before: nothing left to do.",))]
    it = running.of(turn, row)
    return on_it(turn, it) if args[1] == "on" else cannot(turn, it)


def on_it(turn: Turn, it: Running) -> list[Part]:
    """The first who says so has it: the ladder stops for all, the rest are told."""
    if it.row.data.get("on_it") == turn.who.name:
        return []
    told = _everybody(it)
    data = {**it.row.data, "on_it": turn.who.name, "told": [n for n in told if n != turn.who.name]}
    row = store.alter_wait(
        turn.db, turn.message_id, it.id, owner=turn.who.name, chat=turn.who.name, next_at=None, data=data
    )
    it = running.of(turn, row)
    words = wording.has_it(it.shown, turn.who.name)
    others = tuple(people.told(turn, name, words) for name in told if name != turn.who.name)
    lines = (f"Next: {running.next_words(turn, it.kind)}", *((_desk(turn, it),) if _desk(turn, it) else ()))
    return [Part(head=wording.yours_now(it.shown), lines=lines, buttons=_ends(it), others=others)]


def cannot(turn: Turn, it: Running) -> list[Part]:
    """Somebody cannot: the owner is asked at once."""
    owner = people.owner_after(turn, turn.who.name)
    if owner is None or owner in (it.row.owner, *it.row.data.get("told", ())):
        return [Part(lines=(wording.nobody_else(_desk(turn, it)),))]
    rung = max(it.row.rung, len(ladder.rungs(it.ladder)))
    store.alter_wait(
        turn.db, turn.message_id, it.id, rung=rung, next_at=ladder.moment(_pinged_at(it), rung, it.ladder),
        data={**it.row.data, "told": [*it.row.data.get("told", ()), owner]},
    )  # fmt: skip
    words = wording.called_in(it.shown, f"{turn.who.name} cannot", it.kind.over, _desk(turn, it))
    call = people.told(turn, owner, words, _buttons(it), sound=True)
    return [Part(lines=(f"Noted. {owner} is asked.",), others=(call,))]


def _ask_gate_again(turn: Turn, it: Running) -> list[Part]:
    """An open question behind which animals wait is put once more; from here on the ladder counts."""
    data = {**it.row.data, "reminded": True, "pinged_at": turn.now.timestamp()}
    store.alter_wait(turn.db, turn.message_id, it.id, rung=0, next_at=ladder.moment(turn.now, 0, it.ladder), data=data)
    return [Part(others=(_question(turn, it),), urgent=True)]


def _tell(turn: Turn, it: Running, rung: int, groups: Iterable[str]) -> list[Part]:
    names = _names(turn, it, groups)
    told = list(dict.fromkeys([*it.row.data.get("told", ()), *(n for n in names if n != it.row.owner)]))
    store.alter_wait(
        turn.db, turn.message_id, it.id, rung=rung, next_at=ladder.moment(_pinged_at(it), rung, it.ladder),
        data={**it.row.data, "told": told},
    )  # fmt: skip
    return [Part(others=tuple(_call(turn, it, name) for name in names), urgent=True)]


def _names(turn: Turn, it: Running, groups: Iterable[str]) -> list[str]:
    """The persons of these rungs; where nobody comes next or owns, the holder is asked again."""
    known = it.row.data.get("told", ())
    next_one = known[0] if known else people.next_after(turn, it.row.owner, it.row.tank)
    who = {
        ladder.HOLDER: it.row.owner,
        ladder.NEXT: next_one or it.row.owner,
        ladder.OWNER: people.owner_after(turn, it.row.owner) or next_one or it.row.owner,
    }
    return list(dict.fromkeys(who[group] for group in groups))


def _call(turn: Turn, it: Running, name: str) -> Outgoing:
    if name == it.row.owner:
        return _again(turn, it)
    silent = int(minutes_between(_pinged_at(it), turn.now))
    why = wording.silent(it.row.owner, silent)
    words = wording.called_in(it.shown, why, it.kind.over, _desk(turn, it), _address(turn, it))
    return people.told(turn, name, words, _buttons(it), sound=True)


def _again(turn: Turn, it: Running) -> Outgoing:
    if it.row.state == "gate":
        return _question(turn, it)
    over = int(minutes_between(it.row.due_at, turn.now))
    words = wait_words.ping(it.shown, over, running.next_words(turn, it.kind))
    return people.told(turn, it.row.owner, words, running.ping_buttons(it), sound=True)


def _question(turn: Turn, it: Running) -> Outgoing:
    from bot.assistant import gates

    query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it))
    assert query
    words = f"HOLD {it.shown.full}. {query.ask}"
    return people.told(turn, it.row.owner, words, gates.buttons(it, query), sound=True)


def _buttons(it: Running) -> tuple[Button, ...]:
    return (Button("I'm on it", f"l:{it.id}:on"), Button("Can't", f"l:{it.id}:cant"))


def _ends(it: Running) -> tuple[Button, ...]:
    return running.ping_buttons(it) if it.row.state == "asked" else ()


def _everybody(it: Running) -> list[str]:
    return list(dict.fromkeys([it.row.owner, *it.row.data.get("told", ())]))


def _pinged_at(it: Running) -> datetime:
    return instant(it.row.data["pinged_at"])


def _desk(turn: Turn, it: Running) -> str:
    client = people.client_of(turn, it.row.tank)
    return f"Desk: {client.contact}" if client and client.contact else ""


def _address(turn: Turn, it: Running) -> str:
    """Where to go: only for a person, whose place matters more than anything else."""
    client = people.client_of(turn, it.row.tank)
    return client.address or client.name if client and it.kind.alone else ""
