"""Leaving a place: all that is open is named first; leaving anyway takes a reason and tells the owner."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import datetime, timedelta
from typing import Any, Concatenate, ParamSpec, TypeVar

from bot.assistant import asking, conversation, driving, ending, gates, handover, overriding, people, reports, running
from bot.assistant.running import Running
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Understood
from bot.messages import Button
from bot.rules import gates as gate_rules
from bot.store import conversations, logbook, pending, said
from bot.store import waits as store
from bot.store.pending import Pending
from bot.wording import leaving as wording
from bot.wording.entries import clock

P = ParamSpec("P")
R = TypeVar("R", list[Part], list[Part] | None)
DONE, HAND, WHY = "lv:done", "lv:hand", "lv:why"


def take(turn: Turn, item: Item) -> list[Part]:
    """ "leaving": closed where nothing is open, else everything that is open, with what can be done about it."""
    assert isinstance(item, Control)
    tank = _left_place(turn, item)
    found = unanswered_for(turn, tank)
    if not found:
        return _closed(turn, tank)
    _remember(turn, tank)
    return [_named(turn, tank, found)]


def _left_place(turn: Turn, item: Control) -> str | None:
    """Where the person stands; a tank of another site that is named beside is where they go."""
    here = conversation.tank_in_hand(turn)
    elsewhere = here and item.tank and item.tank not in people.site_of(turn, here)
    return here if elsewhere else item.tank or here


def moving_on(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """Naming the next place is leaving this one: what is open here is named before everything else, once."""
    before = turn.situation.tank if turn.situation else None
    told = (i for i in understood.items if not conversation.only_asks(i))
    named = [t for i in told if (t := getattr(i, "tank", None)) and turn.tank(t)]
    if not before or not named or {before, *people.site_of(turn, before)} & set(named) or _pending_tank(turn) == before:
        return []
    found = unanswered_for(turn, before)
    if not found:
        return []
    _remember(turn, before)
    parts.insert(0, _named(turn, before, found))
    return []


def caught_up(turn: Turn, understood: Understood, _: list[Part]) -> list[Part]:
    """On arrival: what was over on the way, said silently then."""
    if not any(isinstance(i, Control) and i.action == "here" for i in understood.items):
        return []
    over = [running.of(turn, w) for w in store.open_waits(turn.db, owner=turn.who.name) if w.state == "asked"]
    return [Part(lines=(wording.over_meanwhile([it.shown for it in over]),))] if over else []


def then(act: Callable[Concatenate[Turn, P], R]) -> Callable[Concatenate[Turn, P], R]:
    """After an answer: closes the visit that waited for it, once nothing is open any more."""

    def acted(turn: Turn, /, *args: P.args, **named: P.kwargs) -> R:
        parts = act(turn, *args, **named)
        tank = _pending_tank(turn)
        if parts and tank is not None and not unanswered_for(turn, tank):
            parts.extend(_closed(turn, tank))
        return parts

    return acted


def not_left(turn: Turn, gone: Sequence[Item]) -> None:
    """A leaving that is taken back: its place is in hand again."""
    left = (i for i in gone if isinstance(i, Control) and _is_leaving(i))
    tank = next((i.tank for i in left if i.tank), None)
    if tank:
        conversations.carry_on(turn.db, turn.message_id, turn.chat, tank=tank, tank_at=turn.now)


def _is_leaving(item: Control) -> bool:
    return item.action == "leaving" or (item.action == "override" and (item.subject or "").startswith(wording.LEFT))


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[All done], [Hand over] and [Leave, why]."""
    tank = _pending_tank(turn)
    found = unanswered_for(turn, tank) if tank or _is_pending(turn) else []
    if not found:
        return []
    return _PRESSES[args[0]](turn, tank, found)


def override(turn: Turn, item: Item) -> list[Part]:
    """ "override: reason": of leaving, where that is what holds; else of the gate that holds."""
    assert isinstance(item, Control)
    if not _is_pending(turn) or turn.replied:
        return overriding.take(turn, item)
    return _leave_anyway(turn, _pending_tank(turn), item.reason or "")


def reason_given(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The reason for leaving all the same; None where the words are too short for one."""
    reason = text.partition(":")[2].strip() or text
    if _says_only_yes(turn):
        return [Part(head=wording.more_reason(_pending_tank(turn)))]
    if not gate_rules.enough_reason(reason) or _means_something_else(turn):
        return None
    return [*_leave_anyway(turn, _pending_tank(turn), reason), *asking.settled(turn, question)]


def _says_only_yes(turn: Turn) -> bool:
    """ "ok", "yes": neither a reason nor the answer to anything else while a reason is asked for."""
    said = turn.understood.items
    return len(said) == 1 and set(getattr(said[0], "answers", ())) & {"ok", "yes"} != set()


def _means_something_else(turn: Turn) -> bool:
    """Whether the words are no reason but an order, a reading, or the sentence that closes what was open."""
    understood = turn.understood
    told = (i.kind in ("control", "reading", "wait") or getattr(i, "state", None) == "on" for i in understood.items)
    return not understood.unread and any(told)


def unanswered_for(turn: Turn, tank: str | None) -> list[Running]:
    """What must not be left: at the tanks of the site, and the person's own without a tank; the oldest first.

    Where nobody knows which site it is, all that is the person's own and not yet left with a reason.
    """
    if tank is None:
        own = [running.of(turn, w) for w in store.open_waits(turn.db, owner=turn.who.name) if not w.data.get("left")]
        return [it for it in own if it.kind.leave and it.row.vat is None]
    site = people.site_of(turn, tank)
    staying = [n for n in people.on_site(turn, tank) if n != turn.who.name]
    open_now = [running.of(turn, w) for w in store.open_at(turn.db, site, turn.who.name)]
    here = [it for it in open_now if _is_here(it, site, turn.who.name) and it.kind.leave]
    return sorted((it for it in here if it.row.owner not in staying), key=lambda it: it.row.started_at)


def _is_here(it: Running, site: Sequence[str], who: str) -> bool:
    return it.row.tank in site if it.row.tank else it.row.owner == who and it.row.vat is None


def _named(turn: Turn, tank: str | None, found: Sequence[Running]) -> Part:
    today = turn.local(turn.now).date()
    lines = [
        wording.open_thing(
            it.shown,
            clock(turn.local(it.row.started_at), today),
            _missing(it),
            bool(it.row.tank) and it.row.tank != tank,
        )
        for it in found
    ]
    label = {1: "Done", 2: "Both done"}.get(len(found), "All done")
    buttons = (Button(label, DONE), Button("Hand over", HAND), Button("Leave, why", WHY))
    return Part(head=wording.not_yet(tank, lines), buttons=buttons, urgent=True)


def _missing(it: Running) -> str:
    query = gate_rules.open_query(gates.gate_of(it), gates.answers_of(it)) if it.row.state == "gate" else None
    return query.ask if query else ""


def _all_done(turn: Turn, tank: str | None, found: Sequence[Running]) -> list[Part]:
    """Each goes its way: closed, the next step, or its question; closed only when nothing is left."""
    parts = [p for it in found for p in ending.out(turn, it)]
    left = unanswered_for(turn, tank)
    if not left:
        return [*parts, *_closed(turn, tank)]
    heads = [p for p in parts if p.head]
    return [*parts, *([] if heads else [_named(turn, tank, left)])]


def _hand_over(turn: Turn, tank: str | None, found: Sequence[Running]) -> list[Part]:
    return handover.offer(turn, [it for it in found if it.row.owner == turn.who.name])


def _why(turn: Turn, tank: str | None, found: Sequence[Running]) -> list[Part]:
    owners = [p.name for p in turn.team.with_role("owner") if p.name != turn.who.name]
    return [Part(ask=Ask(wording.why(owners), (), "leave_reason", "leaving", None, {}, hold=True))]


_PRESSES = {"done": _all_done, "hand": _hand_over, "why": _why}


def _leave_anyway(turn: Turn, tank: str | None, reason: str) -> list[Part]:
    """With a reason of one's own; the owner hears of it at once. The waits go on, and go on pinging."""
    found = unanswered_for(turn, tank)
    if turn.who.role not in gate_rules.overriders("G9"):
        return [Part(head=wording.may_not(tank))]
    if not gate_rules.enough_reason(reason):
        return [Part(head=wording.more_reason(tank))]
    things = " · ".join(it.shown.thing for it in found)
    turn.keep(Control("override", tank=tank, subject=f"{wording.LEFT} {things}", reason=reason))
    for it in found:
        store.alter_wait(turn.db, turn.message_id, it.id, data={**it.row.data, "left": turn.who.name})
    owners = [p.name for p in turn.team.with_role("owner") if p.name != turn.who.name]
    words = wording.left_open(turn.who.name, tank, things, reason)
    told = tuple(people.told(turn, name, words, sound=True) for name in owners)
    report = reports.of_visit(turn, tank, _minutes_here(turn, tank))
    _go(turn, tank)
    head = wording.overridden(tank, f"{turn.local(turn.said_at):%H:%M}", turn.who.name, things)
    return [Part(head=head, lines=(wording.owner_told(owners),), stored=True, others=told, urgent=True), *report]


def _closed(turn: Turn, tank: str | None) -> list[Part]:
    """Nothing is open: the visit is closed, and a question still unanswered is put once more."""
    minutes = _minutes_here(turn, tank)
    if tank:
        turn.keep(Control("leaving", tank=tank))
    report = reports.of_visit(turn, tank, minutes)
    _go(turn, tank)
    head = wording.closed(tank, f"{turn.local(turn.said_at):%H:%M}", minutes)
    left = [q for q in pending.unanswered(turn.db, turn.chat) if q.asked_again == 0]
    closed = Part(head=head, lines=(wording.last_look(),), stored=tank is not None)
    further = [p for look in turn.subjects.closed for p in look(turn, tank, minutes)]
    return [closed, *_once_more(turn, left), *further, *report]


def _once_more(turn: Turn, left: Sequence[Pending]) -> list[Part]:
    for other in left[1:]:
        pending.settle(turn.db, turn.message_id, other.id, "waiting", asked_again=1)
    return [asking.put_again(turn, left[0])] if left else []


def _go(turn: Turn, tank: str | None) -> None:
    conversation.let_go(turn)
    known = conversations.conversation(turn.db, turn.chat)
    data = {k: v for k, v in known.data.items() if k != "leaving"}
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data=data)
    driving.set_off(turn)


def _minutes_here(turn: Turn, tank: str | None) -> int:
    """How long the visit was: back through this person's messages until a gap, another leaving, or another site."""
    gap = timedelta(minutes=table("pings")["on_site"]["value"])
    start = turn.said_at
    for at, text_of_leaving in said.back_from(turn.db, turn.who.name, turn.message_id):
        if text_of_leaving or start - at > gap:
            break
        start = at
    site = people.site_of(turn, tank)
    worked = max((at for at in _worked_elsewhere(turn, site, start)), default=start - gap)
    here = conversations.in_hand_at(turn.db, turn.chat, site, start) if site else []
    start = next((at for at in here if at > worked), start)
    return max(round((turn.said_at - start).total_seconds() / 60), 0)


def _worked_elsewhere(turn: Turn, site: Collection[str], since: datetime) -> list[datetime]:
    """When this person measured or did something at tanks of other sites."""
    facts = [f for k in ("reading", "event", "wait") for f in logbook.events(turn.db, None, (), since, kind=k)]
    return [f.at for f in facts if f.who == turn.who.name and getattr(f.item, "tank", None) not in (None, *site)]


def _remember(turn: Turn, tank: str | None) -> None:
    known = conversations.conversation(turn.db, turn.chat)
    data = {**known.data, "leaving": {"tank": tank, "at": turn.now.timestamp()}}
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data=data)


def _is_pending(turn: Turn) -> bool:
    """Whether leaving was said here lately and something was open."""
    return _asked(turn) is not None


def _pending_tank(turn: Turn) -> str | None:
    asked = _asked(turn)
    return asked["tank"] if asked else None


def _asked(turn: Turn) -> dict[str, Any] | None:
    asked: dict[str, Any] | None = conversations.conversation(turn.db, turn.chat).data.get("leaving")
    lasts = table("pings")["on_site"]["value"] * 60
    return asked if asked and turn.now.timestamp() - asked["at"] < lasts else None
