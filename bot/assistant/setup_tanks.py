"""A tank on file: made, changed, copied, taken off the list; all of it undone with its message."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bot.assistant import conversation, labels, running, setup_questions
from bot.assistant.turn import Part, Turn
from bot.items import Clarify, Item, Quantity, Setting
from bot.rules import setup as rules
from bot.science.inputs import converted
from bot.store import logbook, pending, said, waits
from bot.store.pending import Pending
from bot.store.roster import amend, load_team, set_up
from bot.store.roster import retire as take_off
from bot.team import Tank
from bot.wording import setup as wording

NOT_SET = "Nothing changed."


def stored(turn: Turn, item: Setting, *said: str, tank: str | None = None, **more: Any) -> list[Part]:
    """The quote of what was set; the sentence itself is kept as a fact."""
    turn.keep(item)
    return [Part(said=said, tank=tank, stored=True, **more)]


def meant(turn: Turn, item: Setting) -> Tank | None:
    """The tank that is named, else the one in hand."""
    return turn.tank(item.tank) or turn.tank(conversation.tank_in_hand(turn))


def which() -> list[Part]:
    """Neither named nor in hand."""
    return [Part(head=f"For which tank? {NOT_SET} Send it with the tank's name.")]


def new_tank(turn: Turn, item: Item) -> list[Part]:
    """A tank in one message; what is missing (its kind, its water) is asked, at most two questions."""
    assert isinstance(item, Setting)
    name = wording.named(str(item.values["name"]))
    if turn.tank(name) or turn.team.vat(name):
        return [Part(head=f"{name} is on the list already. {NOT_SET} Send what differs, such as: {name} is 95 gal.")]
    glass = _glass(item.values)
    data = _data(turn, item, name, glass) | labels.fresh(turn, name)
    set_up(turn.db, turn.message_id, "tank", data)
    said = [_size(item.values)] if glass else ["new tank"]
    said += filter(None, (data.get("kind"), wording.rhythm(data.get("every_days"), data.get("weekday"))))
    said += [data["client"]] if data.get("client") else []
    told = filter(None, (wording.panel(data["panel"]) if data.get("panel") else "", f"label {data['label']} attached"))
    lines, files = (wording.named("; ".join(told)),), (labels.sheet_of(turn, name),)
    first, *others = stored(turn, item, *said, tank=name, lines=lines, files=files)
    return [first, *others, *setup_questions.missing(turn, name, data.get("kind"), glass)]


def _glass(values: Mapping[str, Any]) -> Quantity | None:
    volume, sump = values.get("volume"), values.get("sump")
    return Quantity(volume.value + (sump.value if sump else 0), volume.unit) if volume else None


def _size(values: Mapping[str, Any]) -> str:
    volume, sump = values["volume"], values.get("sump")
    litres = sum(converted(q.value, q.unit, "L") for q in (volume, sump) if q)
    return wording.gross(volume, sump, litres)


def _data(turn: Turn, item: Setting, name: str, glass: Quantity | None) -> dict[str, Any]:
    """The tank as the team's JSON writes it: what was said, and the usual panel of its kind."""
    known = {k: item.values[k] for k in ("kind", "every_days", "weekday") if item.values.get(k) is not None}
    kind = known.get("kind")
    data: dict[str, Any] = {"name": name, **known}
    if glass:
        data["gross"] = rules.as_json(glass)
    return data | setup_questions.of_kind(kind) | ({"client": c} if (c := _client(turn, name)) else {})


def _client(turn: Turn, name: str) -> str | None:
    """The client whose name stands in the message, or shares the first word of the tank's; None where in doubt."""
    text = turn.text.casefold()
    clients = load_team(turn.db).clients  # one that was set up in this very message counts
    named = [c.name for c in clients if c.name.casefold() in text]
    first = name.split()[0].casefold()
    alike = [c.name for c in clients if c.name.split()[0].casefold() == first]
    found = named or alike
    return found[0] if len(found) == 1 else None


def panel(turn: Turn, item: Item) -> list[Part]:
    """What is usually tested there, in the usual order."""
    return _changed(turn, item, wording.panel, "panel")


def invertebrates(turn: Turn, item: Item) -> list[Part]:
    """Whether any live there: copper and its like are refused where they do."""
    assert isinstance(item, Setting)
    there = bool(item.values["present"])
    said = "invertebrates live there" if there else "no invertebrates"
    return _amended(turn, item, said, invertebrates=there)


def hydrometer(turn: Turn, item: Item) -> list[Part]:
    """The reference at which its instrument for salinity is marked; "our": of the whole team."""
    assert isinstance(item, Setting)
    return _amended(turn, item, f"salinity read at {item.values['reference']}", hydrometer=item.values["reference"])


def instrument(turn: Turn, item: Item) -> list[Part]:
    """An instrument was calibrated or is new: a fact with its day."""
    assert isinstance(item, Setting)
    return stored(turn, item, f"{item.values['instrument']} {item.values['state']}", tank=item.tank)


def animals(turn: Turn, item: Item) -> list[Part]:
    """The animals as counted now; additions, losses and moves go on from here."""
    assert isinstance(item, Setting)
    found = [dict(each) for each in item.values["animals"]]
    return _amended(turn, item, wording.animals(found), animals=found, counted_at=turn.said_at.isoformat())


def owner(turn: Turn, item: Item) -> list[Part]:
    """Whose tank it is."""
    assert isinstance(item, Setting)
    fitting = rules.best_named(str(item.values["name"]), tuple(c.name for c in turn.team.clients))
    if len(fitting) != 1:
        return [Part(head=f'No client named "{item.values["name"]}" on the list. {NOT_SET} First: new client ...')]
    return _amended(turn, item, fitting[0], client=fitting[0])


def limits(turn: Turn, item: Item) -> list[Part]:
    """The tank's own range of a parameter, old beside new."""
    assert isinstance(item, Setting)
    tank = meant(turn, item)
    if tank is None:
        return which()
    told, parameter = item.values, str(item.values["parameter"])
    ranges = dict(tank.data.get("ranges", {}))
    old = ranges.get(parameter)
    new = {k: told[k] for k in ("low", "high", "unit", "most_per_day") if told.get(k) is not None}
    same = old if old and old.get("unit") == new["unit"] else {}
    kept = {k: same[k] for k in ("low", "high", "most_per_day") if same.get(k) is not None}
    ranges[parameter] = found = kept | new
    low, high = found.get("low"), found.get("high")
    if low is not None and high is not None and low >= high:
        return [Part(head=wording.upside_down(parameter, found))]
    return _amended(turn, item, wording.limits(parameter, ranges[parameter], old), ranges=ranges)


def copy(turn: Turn, item: Item) -> list[Part]:
    """Takes over how another tank is kept: kind, limits, panel, rhythm; not its water, animals or orders."""
    assert isinstance(item, Setting)
    source, target = turn.tank(item.values["from"]), meant(turn, item)
    if source is None or target is None or source.name == target.name:
        return which()
    taken = rules.copied(source.data)
    said = f"as {source.name}: {', '.join(k.replace('_', ' ') for k in taken)}"
    return _amended(turn, item, said, **taken)


def retire(turn: Turn, item: Item) -> list[Part]:
    """Off the list, once nothing waits there; its history stays."""
    assert isinstance(item, Setting)
    tank = turn.tank(item.tank)
    if tank is None:
        return which()
    open_now = [running.of(turn, w).shown.thing for w in waits.open_waits(turn.db, tank=tank.name)]
    if open_now:
        return [Part(head=f"HOLD {tank.name}: {' · '.join(open_now[:3])} still open. {NOT_SET} Close them first.")]
    take_off(turn.db, turn.message_id, "tank", tank.name)
    return stored(turn, item, "retired; its history stays", tank=tank.name)


_WORK = ("reading", "event", "wait", "task", "question", "correction")


def gone(turn: Turn, item: Item) -> list[Part] | None:
    """Nothing new is written down of a tank that was retired; what is on record can be asked for."""
    tank = getattr(item, "tank", None)
    if tank is None or turn.tank(tank) or item.kind not in _WORK:
        return None
    return [Part(head=f"{tank} is retired: nothing of it is stored. To bring it back, send: new tank {tank}")]


def rename(turn: Turn, item: Item) -> list[Part]:
    """A name stays, so that the record stays one; a nickname does the same in the chat."""
    assert isinstance(item, Setting)
    new = item.values.get("name") or "the new one"
    return [Part(head=f"{item.tank} keeps its name, so its record stays one. Send: nickname {new} = {item.tank}")]


def nickname(turn: Turn, item: Item) -> list[Part]:
    """Another name for a tank; one that means something else already is refused."""
    assert isinstance(item, Setting)
    tank, nick = turn.tank(item.tank), str(item.values["nickname"]).strip()
    taken = _meaning_of(turn, nick)
    if tank is None or not nick:
        return which()
    if taken and taken != tank.name:
        return [Part(head=f'"{nick}" means {taken} already. {NOT_SET} Choose another.')]
    nicknames = list(dict.fromkeys([*tank.data.get("nicknames", ()), nick]))
    return _amended(turn, item, f'also "{nick}"', nicknames=nicknames)


def press_always(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Always] under the answer to "which tank": the words that were open mean that tank from now on."""
    question = pending.find(turn.db, int(args[0]))
    nick = question and open_words(turn, question)
    facts = logbook.facts_of(turn.db, [int(question.data["by"])]) if question and "by" in question.data else []
    tank = next((t for f in facts if (t := getattr(f.item, "tank", None))), None)
    return nickname(turn, Setting("nickname", tank, {"nickname": nick})) if tank and nick else []


def open_words(turn: Turn, question: Pending) -> str | None:
    """The words of the message that could mean each of the tanks that a question offered."""
    options = question.item.options if isinstance(question.item, Clarify) else ()
    return rules.shared_word(str(said.message(turn.db, question.message_id)["text"]), options)


def _meaning_of(turn: Turn, nick: str) -> str | None:
    said = nick.casefold()
    names = {t.name.casefold(): t.name for t in turn.team.tanks} | {v.name.casefold(): v.name for v in turn.team.vats}
    return names.get(said) or next((t.name for t in turn.team.tanks if said in map(str.casefold, t.nicknames)), None)


def _changed(turn: Turn, item: Item, says: Any, key: str) -> list[Part]:
    assert isinstance(item, Setting)
    return _amended(turn, item, says(item.values[key]), **{key: list(item.values[key])})


def _amended(turn: Turn, item: Setting, said: str, **values: Any) -> list[Part]:
    """Changes the tank that is meant, and quotes what it is now."""
    tank = meant(turn, item)
    if tank is None:
        return which()
    amend(turn.db, turn.message_id, "tank", tank.name, **values)
    return stored(turn, Setting(item.subject, tank.name, item.values), said, tank=tank.name)
