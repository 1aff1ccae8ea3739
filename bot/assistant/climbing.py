"""The ladder: a wait that can hurt and stays unanswered goes again, to the next person, to the owner, to all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.assistant import after_leaving, driving, gates, people, running
from bot.assistant.calls import Call
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.items import Control
from bot.messages import Button, Outgoing
from bot.rules import gates as gate_rules
from bot.rules import ladder
from bot.rules.waits import minutes_between
from bot.store import waits as store
from bot.store.database import instant
from bot.wording import climbing as wording
from bot.wording import gates as gate_words
from bot.wording import waits as wait_words


def climb(turn: Turn, it: Running) -> list[Call]:
    """The rungs that are due by now, all at once; then the moment of the next."""
    if it.row.state == "gate" and not it.row.data.get("reminded"):
        return _ask_gate_again(turn, it)
    rung, groups = ladder.climbed(_pinged_at(it), it.row.rung, turn.now, it.ladder)
    return _tell(turn, it, rung, groups)


def instead_of_driver(turn: Turn, it: Running) -> list[Call]:
    """Somebody else is asked at once, because the holder is at the wheel; the holder need not read."""
    name = people.next_after(turn, it.row.owner, it.row.tank)
    if name is None:
        return []
    store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "told": [name]})
    words = wording.when_parked(name)
    driver = Call(it.row.owner, it, words, words, sound=False)
    return [driver, _called(turn, it, name, f"{it.row.owner} is driving")]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[I'm on it] and [Can't] under a call about one wait or several."""
    rows = [store.find(turn.db, int(i)) for i in args[0].split(",")]
    its = [running.of(turn, row) for row in rows if row and row.is_open]
    if not its:
        return [Part(lines=("Answered before: nothing left to do.",))]
    act = on_it if args[1] == "on" else cannot
    return [part for it in its for part in act(turn, it)]


def answer(turn: Turn, item: Control) -> list[Part] | None:
    """ "I'm on it", "can't" in words: of everything this person is called in for; None where that is nothing."""
    called = [w for w in store.called_in(turn.db, turn.who.name) if turn.who.name in w.data.get("told", ())]
    its = [running.of(turn, w) for w in called if w.owner != turn.who.name]
    act = on_it if "on_it" in item.answers else cannot if "cannot" in item.answers else None
    return [part for it in its for part in act(turn, it)] if its and act else None


def on_it(turn: Turn, it: Running) -> list[Part]:
    """The first who says so has it: the ladder stops for all, the rest are told."""
    if it.row.state == "running":
        return [Part(lines=(wording.has_it(it.shown, it.row.owner),))]
    first = it.row.data.get("on_it")
    if first and first == it.row.owner:
        return [Part(lines=(wording.has_it(it.shown, first),))] if first != turn.who.name else []
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
    if it.row.state == "running":
        return [Part(lines=(wording.has_it(it.shown, it.row.owner),))]
    if owner is None or owner in (it.row.owner, *it.row.data.get("told", ())):
        ring = _rung(turn, it)
        return [Part(lines=(wording.nobody_else(it.row.owner if ring else None, _desk(turn, it)),), others=ring)]
    rung = max(it.row.rung, len(ladder.rungs(it.ladder)))
    store.alter_wait(
        turn.db, turn.message_id, it.id, rung=rung, next_at=ladder.moment(_pinged_at(it), rung, it.ladder),
        data={**it.row.data, "told": [*it.row.data.get("told", ()), owner]},
    )  # fmt: skip
    asked = _called(turn, it, owner, f"{turn.who.name} cannot")
    call = people.told(turn, owner, asked.text, asked.buttons, sound=True)
    return [Part(lines=(f"Noted. {owner} is asked.",), others=(call,))]


def _rung(turn: Turn, it: Running) -> tuple[Outgoing, ...]:
    """Nobody else is left: a holder at the wheel, who was spared so far, is rung once."""
    spared = it.row.rung <= len(ladder.rungs(it.ladder)) and driving.at_wheel(turn, it.row.owner)
    if not spared or it.row.data.get("rung_at_wheel"):
        return ()
    store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "rung_at_wheel": True})
    call = _again(turn, it)
    return (people.told(turn, call.to, call.text, call.buttons, sound=True),)


def _ask_gate_again(turn: Turn, it: Running) -> list[Call]:
    """An open question behind which animals wait is put once more; from here on the ladder counts."""
    data = {**it.row.data, "reminded": True, "pinged_at": turn.now.timestamp()}
    again = ladder.moment(turn.now, 0, it.ladder)
    store.alter_wait(turn.db, turn.message_id, it.id, rung=0, next_at=again, data=data)
    return [_again(turn, it)]


def _tell(turn: Turn, it: Running, rung: int, groups: Iterable[str]) -> list[Call]:
    names = _names(turn, it, groups)
    told = list(dict.fromkeys([*it.row.data.get("told", ()), *(n for n in names if n != it.row.owner)]))
    store.alter_wait(
        turn.db, turn.message_id, it.id, rung=rung, next_at=ladder.moment(_pinged_at(it), rung, it.ladder),
        data={**it.row.data, "told": told},
    )  # fmt: skip
    return [_call(turn, it, name) for name in names if not _spared(turn, it, name, names)]


def _spared(turn: Turn, it: Running, name: str, names: Sequence[str]) -> bool:
    """A holder at the wheel is not rung while somebody else is called."""
    others = [n for n in (*names, *it.row.data.get("told", ())) if n != name]
    asked_all = it.row.rung >= len(ladder.rungs(it.ladder))
    return name == it.row.owner and bool(others) and not asked_all and driving.at_wheel(turn, name)


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


def _call(turn: Turn, it: Running, name: str) -> Call:
    if name == it.row.owner:
        return _again(turn, it)
    silent = int(minutes_between(_pinged_at(it), turn.now))
    return _called(turn, it, name, wording.silent(it.row.owner, silent))


def _called(turn: Turn, it: Running, name: str, why: str) -> Call:
    words = wording.called_in(it.shown, why, it.kind.over, _desk(turn, it), _address(turn, it))
    return Call(name, it, words, f"{it.shown.full}: {why}", _buttons(it), helps=True)


def _again(turn: Turn, it: Running) -> Call:
    """To the holder once more: the ping, or the question that is open."""
    if it.row.state == "gate":
        query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it))
        ask = query.ask if query else ""
        return Call(it.row.owner, it, gate_words.hold(it.shown.full, ask), f"{it.shown.full}: {ask}", _answers(it))
    over = it.over_min(turn.now)
    words = wait_words.ping(it.shown, over, running.next_words(turn, it.kind))
    buttons = after_leaving.buttons(turn, it) or running.ping_buttons(it)
    return Call(it.row.owner, it, words, wait_words.ping_line(it.shown, over), buttons)


def _answers(it: Running) -> tuple[Button, ...]:
    query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it))
    return gates.buttons(it, query) if query else ()


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
