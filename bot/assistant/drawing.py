"""Water is drawn for a tank: from which batch. Named, or the only one that fits and then said aloud, or asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bot.assistant import asking, matching, vats
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control, Event
from bot.rules import batches as rules
from bot.rules.batches import NewWater
from bot.store import batches as store
from bot.store import logbook
from bot.store.pending import Pending
from bot.team import Tank
from bot.wording import drawing as wording

OTHER = "other water"
_TOLERANCE = 0.98


def drawn(turn: Turn, item: Event) -> Event:
    """The event with the batch that it draws from, where that is named or can only be one."""
    if item.event not in rules.DRAWN_BY or item.subject == OTHER or not store.is_in_use(turn.db):
        return item
    item = with_tank(turn, item)
    found = named(turn, item) or only(turn, item)
    return replace(item, vat=found.vat, batch=found.number) if found else item


def with_tank(turn: Turn, item: Event) -> Event:
    """A vat is where water comes from: the tank is the one in hand."""
    return replace(item, tank=item.tank or tank_in_hand(turn)) if item.vat or item.batch else item


def named(turn: Turn, item: Event) -> NewWater | None:
    """The batch of the number, or in the vat, that was named."""
    waters = vats.load(turn)
    return rules.numbered(waters, item.batch) if item.batch else rules.current(waters, item.vat) if item.vat else None


def only(turn: Turn, item: Event) -> NewWater | None:
    """The only batch that is ready, fits the tank and has enough, where nobody named one."""
    enough = [w for w in _fitting(turn, item) if not is_short(turn, w, item) and _is_ready(turn, w)]
    return enough[0] if len(enough) == 1 else None


def litres(turn: Turn, item: Event) -> float | None:
    """What is drawn, litres; None where that cannot be told."""
    return rules.litres(item.amount, item.unit, vats.volume_L(turn, item.tank))


def is_short(turn: Turn, water: NewWater, item: Event) -> bool:
    """Whether less is left than is drawn."""
    wanted = litres(turn, item)
    return wanted is not None and water.left_L < wanted * _TOLERANCE


def must_match(turn: Turn, item: Event) -> bool:
    """Whether so much is changed that the water must match: a top-off, or a cupful, moves nothing."""
    return item.event == "water_change" and not rules.is_small(litres(turn, item), vats.volume_L(turn, item.tank))


def told(turn: Turn, item: Event) -> tuple[str, ...]:
    """What is said of the source beside the quote."""
    water = rules.numbered(vats.load(turn), item.batch) if item.batch else None
    if water is None:
        unknown = item.vat and item.event in rules.DRAWN_BY and store.is_in_use(turn.db)
        return (wording.not_on_record(str(item.vat)),) if unknown else ()
    tank = turn.tank(item.tank)
    missing = tank and must_match(turn, item) and any(matching.unknown(turn, water, tank).values())
    unmatched = bool(missing) and not matching.is_answered(turn, water) and not _answered_now(turn)
    return (wording.drawn(water, vats.us(turn), unmatched),)


def _answered_now(turn: Turn) -> bool:
    """Whether this very message answers that the water matches."""
    found = [f.item for f in logbook.facts_of(turn.db, [turn.message_id])]
    return any(isinstance(i, Control) and "matched" in i.answers for i in found)


def emptied(turn: Turn, item: Event) -> None:
    """A rest of which nothing is left pings nobody any more."""
    water = rules.numbered(vats.load(turn), item.batch) if item.batch else None
    if water and not water.is_there:
        vats.stop_rest(turn, water.number)


def remark(turn: Turn, item: Event) -> tuple[int, str] | None:
    """What the mixture makes worth saying."""
    water = rules.numbered(vats.load(turn), item.batch) if item.batch else None
    tank = turn.tank(item.tank)
    return matching.remark(turn, water, tank, litres(turn, item)) if water and tank else None


def ask_source(turn: Turn, item: Event, fact_id: int) -> list[Part]:
    """Which batch it was, where several could be meant, or none that is ready has enough."""
    if item.event not in rules.DRAWN_BY or item.vat or item.batch or item.subject == OTHER:
        return []
    found = _fitting(turn, item)
    if not found:
        return []
    ready = [w for w in found if not is_short(turn, w, item) and _is_ready(turn, w)]
    us, shown = vats.us(turn), ready or found
    options = tuple((str(w.vat or f"Batch {w.number}"), str(w.number)) for w in shown[:2])
    text = wording.which([wording.drawn(w, us) for w in shown])
    return [Part(ask=Ask(text, (*options, wording.OTHER), "drawn", "which_batch", None, {"fact": fact_id}))]


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The water that it was: the entry is kept with it."""
    fact = logbook.fact(turn.db, int(question.data["fact"]))
    if value is None or fact is None or fact.void or not isinstance(fact.item, Event):
        return None
    water = None if value == "other" else rules.numbered(vats.load(turn), int(value))
    subject = OTHER if value == "other" else fact.item.subject
    new = replace(fact.item, at=turn.local(fact.at), subject=subject)
    new = replace(new, vat=water.vat, batch=water.number) if water else new
    logbook.void(turn.db, turn.message_id, fact.id, "correction", turn.now)
    turn.keep(new)
    emptied(turn, new)
    said = told(turn, new) or (OTHER,)
    return [Part(said=said, tank=new.tank, at=fact.at, stored=True), *asking.settled(turn, question)]


def _fitting(turn: Turn, item: Event) -> Sequence[NewWater]:
    """The batches that such a tank may take, oldest first; none where its water is not from our vats."""
    tank = turn.tank(item.tank)
    if tank is None or not store.is_in_use(turn.db) or not _draws_from_vats(turn, item, tank):
        return []
    live = [w for w in vats.load(turn) if w.closed is None and (w.is_there or w.use_by > turn.now)]
    suiting = [w for w in live if rules.suits(w.subject, tank.kind, item.event) is not False]
    return [w for w in suiting if vats.standing(turn, w).state != "remixed"]


def _is_ready(turn: Turn, water: NewWater) -> bool:
    ready = vats.standing(turn, water).state == "ready" and turn.now <= water.use_by
    return ready and vats.chlorine(turn, water) != "shows"


def _draws_from_vats(turn: Turn, item: Event, tank: Tank) -> bool:
    """Whether this tank's water comes from our vats: as last time; never told, salt water does and fresh does not."""
    found = logbook.events(turn.db, tank.name, [item.event], limit=6)
    before = [f.item for f in found if f.message_id != turn.message_id and isinstance(f.item, Event)]
    told_of = [i for i in before if i.batch or i.vat or i.subject == OTHER]
    if told_of:
        return told_of[0].subject != OTHER
    return item.event == "water_change" and rules.suits("salt", tank.kind, item.event) is True
