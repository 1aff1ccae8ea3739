"""What is switched off, taken out, put in for a while or left running: open from one sentence to another."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.assistant import closing, gates, people, running
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.items import Event, Wait, changed
from bot.rules import gates as gate_rules
from bot.rules import open_ends as rules
from bot.rules import quiet
from bot.rules.waits import Kind, after
from bot.rules.words import says
from bot.store import waits as store


def marked(turn: Turn, item: Event) -> Event:
    """The event with `open` or `closes` set where it opens or closes something."""
    item = _where_it_is_off(turn, item)
    keys = rules.ends_of(item)
    if any(rules.opens(k, item, turn.text) for k in keys):
        return _event(item, open=True)
    return _event(item, closes=True) if _shut_by(turn, item) else item


def _where_it_is_off(turn: Turn, item: Event) -> Event:
    """ "return on", said beside another tank of the site where none is off: of the one tank where one is."""
    if item.state != "on" or not item.tank or people.tank_spoken_of(turn) or _shut_by(turn, item):
        return item
    others = (t for t in people.site_of(turn, item.tank) if t != item.tank)
    moved = [m for t in others if isinstance(m := changed(item, tank=t), Event) and _shut_by(turn, m)]
    return moved[0] if len(moved) == 1 else item


def follow_up(turn: Turn, item: Event, fact_id: int) -> list[Part]:
    """What comes of an event that opens (its own reminder) or closes (its check, where it has one)."""
    keys = rules.ends_of(item)
    if item.open:
        fresh = [k for k in keys if rules.opens(k, item, turn.text) and not _is_open(turn, item, k)]
        return [open_end(turn, k, item, fact_id, subject=_own_words(item, k)) for k in fresh]
    return [p for it in _shut_by(turn, item) for p in _close(turn, it)] if item.closes else []


def open_end(
    turn: Turn, key: str, item: Event, fact_id: int, minutes: float | None = None, subject: str | None = None
) -> Part:
    """Notes it as open, with the moment at which it is asked about."""
    kind = rules.kind(key)
    started = item.at or turn.said_at
    length = minutes if minutes is not None else kind.default or 0.0
    due = after(started, length)
    owner = turn.who.name
    store.start(
        turn.db, turn.message_id, kind="other", step=None, tank=item.tank, vat=item.vat,
        subject=subject or item.subject or kind.name, owner=owner, chat=owner, topic=None, started_at=started,
        minutes=length, due_at=due, state="running", next_at=_first_look(turn, kind, due), fact_id=fact_id,
        data={"end": key},
    )  # fmt: skip
    return Part(lines=(kind.caution,) if kind.caution else ())


def all_back_on(turn: Turn, tank: str | None) -> list[Part] | None:
    """ "all back on": everything that is switched off here is closed, or asked about; None where nothing is meant."""
    if not says(turn.text.replace("'s", "").replace("’s", ""), _ALL_BACK) or tank is None:
        return None
    found = [w for w in store.open_waits(turn.db, tank=tank) if w.kind == "pump_off" or w.data.get("end")]
    off = [w for w in found if w.kind == "pump_off" or rules.is_switched(w.data["end"])]
    return [part for w in off for part in _switched_on(turn, running.of(turn, w))] if off else None


_EVERYTHING = "all, everything"
_ALL_BACK = (
    "both on, both back on, both are on, both are back on, all back on, everything back on, everything on, all on, "
    "all pumps on, plugged back in, all running again, all plugged back in, everything running again"
)


def _switched_on(turn: Turn, it: Running) -> list[Part]:
    turn.keep(rules.closing_event(it.row.data.get("end") or "pump", it.row.subject, it.row.tank, it.row.vat))
    said = f"{it.row.subject or it.kind.name} on"
    return [Part(said=(said,), tank=it.shown.place, stored=True), *_close(turn, it)]


def _is_open(turn: Turn, item: Event, key: str) -> bool:
    return any(w.data.get("end") == key for w in store.open_in(turn.db, item.tank, item.vat))


def _own_words(item: Event, key: str) -> str | None:
    return rules.phrase_of(key, item.subject) if item.subject else None


def from_wait(turn: Turn, item: Wait) -> Event | None:
    """A thing left running, or out, that was said without a length: an open end instead of a wait."""
    if item.minutes is not None or item.wait != "other":
        return None
    key = next(iter(rules.named_in(f"{item.subject or ''} {turn.text}")), None)
    if key not in ("siphon", "valve", "filling", "carbon"):
        return None
    state = "removed" if key == "carbon" else "on"
    subject = "carbon" if key == "carbon" else rules.spoken_of(key, f"{item.subject or ''} {turn.text}")
    return Event("equipment", tank=item.tank, vat=item.vat, subject=subject, state=state, at=item.started, open=True)


def _event(item: Event, **values: bool) -> Event:
    new = changed(item, **values)
    assert isinstance(new, Event)
    return new


def _shut_by(turn: Turn, item: Event) -> list[Running]:
    """What the event closes: what it names; "back on" without a name the one thing that is off here."""
    keys = [k for k in rules.ends_closed_by(item) if rules.closes(k, item, turn.text)]
    if keys and not says(item.subject or "", _EVERYTHING):
        return _open_here(turn, item, keys)
    if item.state == "on" and says(item.subject or "", _EVERYTHING):
        return _open_here(turn, item, [k for k in rules.all_ends() if rules.is_switched(k)])
    unnamed = item.event == "equipment" and item.state == "on" and not rules.ends_of(item)
    everything = _open_here(turn, item, rules.all_ends()) if unnamed else []
    return everything if len(everything) == 1 else []


def _open_here(turn: Turn, item: Event, keys: Sequence[str]) -> list[Running]:
    """The open ends, and the pumps off for a time, that the event closes: of its tank or vat."""
    found = store.open_in(turn.db, item.tank, item.vat)
    ends = [w for w in found if w.data.get("end") in keys]
    pumps = [w for w in found if w.kind == "pump_off" and set(rules.named_in(w.subject or "pump")) & set(keys)]
    return [running.of(turn, w) for w in (*ends, *pumps)]


def _close(turn: Turn, it: Running) -> list[Part]:
    """Closed by its sentence; one that needs flow only once flow was seen."""
    if not it.kind.gate:
        closing.close(turn, it, "done", turn.said_at)
        return [Part(others=closing.stand_down(turn, it))]
    given = gate_rules.answers_in(turn.text, gates.gate_of(it), {}) or gates.answered_beside(turn, it)
    if it.row.state != "gate":
        gates.open_gate(turn, it, closing.when(turn, it, None))
        it = running.of(turn, store.wait(turn.db, it.id))
    return gates.answer(turn, it, given) if given else gates.ask_again(turn, it)


def _first_look(turn: Turn, kind: Kind, due: datetime) -> datetime:
    if kind.hurts or not quiet.is_quiet(people.known(turn, turn.who.name), turn.local(due)):
        return due
    return quiet.card_after(turn.who, turn.local(due))
