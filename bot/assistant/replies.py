"""Parts into one reply: the quote first, at most one remark, one question, three buttons; told to others besides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bot.assistant import asking, budget, group
from bot.assistant.turn import Part, Turn
from bot.items import Event, Reading
from bot.messages import Button, Outgoing
from bot.store import outbox
from bot.store.logbook import Fact
from bot.wording import entries, quantities, reply, service

MOST_BUTTONS = 3
FEW_TIMES = 3


def send(turn: Turn, parts: Sequence[Part], unread: Sequence[str] = (), old: Sequence[Fact] = ()) -> None:
    """Posts the reply that the parts make together, and what they tell others; nothing where nothing is to say."""
    where = group.place(turn, parts)
    if where is not None:
        _answer(turn, where, parts, unread, old)
    urgent = any(p.urgent for p in parts)
    for each in (o for p in parts for o in p.others):
        if budget.is_over(turn, each, urgent):
            budget.hold(turn, each)
        else:
            outbox.post(turn.db, each, turn.now, turn.message_id, urgent=urgent or each.sound)


def _answer(
    turn: Turn, where: tuple[str, str | None], parts: Sequence[Part], unread: Sequence[str], old: Sequence[Fact]
) -> None:
    chat, topic = where
    question, options = asking.put(turn, [p.ask for p in parts if p.ask])
    draft = reply.Draft(
        heads=_heads(parts),
        quotes=(*_quotes(turn, parts, old), *([service.heard(turn.text)] if turn.heard else [])),
        lines=tuple(dict.fromkeys(line for p in parts for line in p.lines)),
        unread=tuple(words for words in unread if not _asked_about(parts, words)),
        remark=_remark(parts),
        question=question,
    )
    text = reply.lay_out(draft)
    urgent = any(p.urgent for p in parts)
    if text:
        sound = urgent or any(p.ask and p.ask.hold for p in parts)
        files = tuple(dict.fromkeys(f for p in parts for f in p.files))
        answer = Outgoing(chat, text, _buttons(turn, parts, options), files, sound=sound, topic=topic)
        outbox.post(turn.db, answer, turn.now, turn.message_id, urgent=urgent)


def _heads(parts: Sequence[Part]) -> tuple[str, ...]:
    """What must open the reply; of several waits that are over only their names, so that all of them are seen."""
    heads = tuple(p.head for p in parts if p.head)
    over = [h for h in heads if h.startswith("OUT NOW")]
    return tuple(h.split("\n")[0] if h in over else h for h in heads) if len(over) > 1 else heads


def _quotes(turn: Turn, parts: Sequence[Part], old: Sequence[Fact]) -> Iterable[str]:
    """A line for each tank and time: "Oak lobby 08:41: 78.4 °F · pH 8.2"; where there are many times, a line a tank."""
    groups: dict[tuple[str | None, str], list[str]] = {}
    today = turn.local(turn.now).date()
    for part in (p for p in parts if p.said):
        when = entries.clock(turn.local(part.at or turn.said_at), today)
        groups.setdefault((part.tank, when), []).extend(part.said)
    by = f", {entries.name(turn.who.name)}" if turn.who.name != turn.chat and not turn.group and turn.chat else ""
    yield from _lines_of(groups, by) if len(groups) <= FEW_TIMES else _lines_by_tank(groups, by)
    was = [piece for piece in map(_piece, old) if piece and not any(piece in g for g in groups.values())]
    if was:
        yield f"Before: {' · '.join(was)}"


Groups = Mapping[tuple[str | None, str], Sequence[str]]


def _lines_of(groups: Groups, by: str) -> Iterable[str]:
    for (tank, when), pieces in groups.items():
        yield f"{f'{tank} ' if tank else ''}{when}{by}: {' · '.join(pieces)}"


def _lines_by_tank(groups: Groups, by: str) -> Iterable[str]:
    """A list from paper: each tank's entries in one line, each time before its own."""
    for tank in dict.fromkeys(tank for tank, _ in groups):
        own = {when: pieces for (place, when), pieces in groups.items() if place == tank}
        days = {when.rpartition(" ")[0] for when in own}
        day = f" {days.pop()}" if len(days) == 1 and "" not in days else ""
        timed = [f"{when[len(day) :]} {' · '.join(pieces)}" for when, pieces in own.items()]
        yield f"{tank or 'No tank'}{day}{by}: {' · '.join(timed)}"


def _asked_about(parts: Sequence[Part], words: str) -> bool:
    """Whether a question of the reply quotes the words anyway."""
    return any(p.ask and words in p.ask.text for p in parts)


def _piece(fact: Fact) -> str:
    if isinstance(fact.item, Reading):
        return quantities.reading(fact.item)
    return entries.event(fact.item) if isinstance(fact.item, Event) else ""


def _remark(parts: Sequence[Part]) -> str | None:
    ranked = sorted((p.remark for p in parts if p.remark), key=lambda r: r[0])
    return ranked[0][1] if ranked else None


def _buttons(turn: Turn, parts: Sequence[Part], options: Sequence[Button]) -> tuple[Button, ...]:
    """[Undo] leftmost on a storing reply and nowhere else; then the answers to the question; then what parts offer."""
    undo = [Button("Undo", f"u:{turn.message_id}")] if any(p.stored for p in parts) else []
    offered = {b.label: b for p in reversed(parts) for b in reversed(p.buttons)}
    return tuple([*undo, *options, *reversed(offered.values())][:MOST_BUTTONS])
