"""A reading: judged against its tank, kept, quoted; one unlike the tank is kept unconfirmed and asked about."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from itertools import chain

from bot.assistant import asking, corrections, judging, vats
from bot.assistant.conversation import replied_facts, situation
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Correction, Item, Reading, Understood
from bot.store import logbook
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.understanding.read import read
from bot.wording import entries, quantities
from bot.wording import readings as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a reading and quotes it; as a reply to a quote of the same test, it corrects that one."""
    assert isinstance(item, Reading)
    item = vats.placed(turn, item)
    quoted = _quoted(turn, item)
    if quoted:
        return corrections.replace_fact(turn, quoted, item)
    earlier = _of_that_day(turn, item)
    return [_instead_or_both(turn, item, earlier)] if earlier else _kept(turn, item)


def _kept(turn: Turn, item: Reading) -> list[Part]:
    said, ask = judging.keep(turn, item)
    where = item.tank or item.vat
    said = said if item.tank else said.replace(f" ({item.vat})", "")
    return [Part(said=(said,), tank=where, at=item.at, stored=True, ask=ask, lines=_also_had(turn, item))]


def _of_that_day(turn: Turn, item: Reading) -> Fact | None:
    """The other value on record for a past day that is named without a time of day: it may be meant to be put right."""
    at = turn.local(item.at) if item.at else None
    if (
        at is None
        or not item.tank
        or item.of != "tank"
        or at.time() != NO_TIME
        or at.date() >= turn.local(turn.now).date()
    ):
        return None
    start = datetime.combine(at.date(), time(), turn.zone)
    found = logbook.events(turn.db, item.tank, [item.parameter], start, start + timedelta(days=1), kind="reading")
    same = (f for f in found if getattr(f.item, "of", None) == "tank" and f.message_id != turn.message_id)
    other = next(same, None)
    return other if isinstance(getattr(other, "item", None), Reading) else None


NO_TIME = time(12)
"""How a day without a time of day is read."""


def _instead_or_both(turn: Turn, item: Reading, earlier: Fact) -> Part:
    assert isinstance(earlier.item, Reading)
    text = wording.instead_or_both(item, earlier.item, _clock(turn, earlier))
    return Part(ask=Ask(text, wording.INSTEAD, "that_day", "which_time", item, {"fact": earlier.id}))


def of_that_day(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether a value for a past day takes the place of the one on record, or stands beside it."""
    item, earlier = question.item, logbook.fact(turn.db, int(question.data["fact"]))
    value = value or wording.instead_meant(text)
    if value is None or not isinstance(item, Reading) or earlier is None:
        return None
    after = asking.settled(turn, question, "dropped" if value == "drop" else "answered")
    if value == "drop":
        return [Part(lines=(f"Dropped: {quantities.reading(item)}.",)), *after]
    put_right = value == "instead" and not earlier.void
    return [
        *(corrections.replace_fact(turn, earlier, replace(item, at=None)) if put_right else _kept(turn, item)),
        *after,
    ]


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Whether an odd reading is right, was meant otherwise, or is dropped; None where the words do not say."""
    fact = logbook.fact(turn.db, int(question.data["fact"]))
    if fact is None or not isinstance(fact.item, Reading) or fact.void:
        return None
    meant = None if value in ("confirm", "drop") else _meant(turn, fact.item, value or text)
    if value is None and meant is None:
        return None
    return [*_answered(turn, fact, value, meant), *asking.settled(turn, question)]


def _answered(turn: Turn, fact: Fact, value: str | None, meant: Reading | None) -> list[Part]:
    assert isinstance(fact.item, Reading)
    if value == "drop":
        logbook.void(turn.db, turn.message_id, fact.id, "dropped", turn.now)
        return [Part(lines=(f"Dropped: {quantities.reading(fact.item)}.",), stored=True)]
    if meant and (meant.value, meant.unit) != (fact.item.value, fact.item.unit):
        return corrections.replace_fact(turn, fact, meant)
    logbook.confirm(turn.db, turn.message_id, fact.id, "confirmed", turn.now)
    return [replace(_quote(replace(fact.item, unconfirmed=False)), at=fact.at)]


def _meant(turn: Turn, odd: Reading, words: str) -> Reading | None:
    """The value that the words give for the same test of the same tank: "8.3", "i meant 8.3", "alk 8.3"."""
    known = replace(turn.situation or situation(turn), tank=odd.tank, reply_to=None)
    said = turn.understood if (words, known) == (turn.text, turn.situation) else read(words, known)
    if sum(isinstance(i, Reading) for i in said.items) > 1:
        return None
    others = (f"{odd.parameter} {value}" for value in (words, _value_meant(said, odd)))
    for understood in chain([said], (read(phrase, known) for phrase in others)):
        found = [i for i in understood.items if isinstance(i, Reading) and i.parameter == odd.parameter]
        alone = len(found) == len(understood.items) == 1 and not understood.unread
        if alone and found[0].tank == odd.tank:
            return replace(odd, value=found[0].value, unit=found[0].unit, unconfirmed=False)
    return None


def _value_meant(understood: Understood, odd: Reading) -> str:
    """The value of words that correct something without naming another test."""
    said = [i for i in understood.items if isinstance(i, Correction) and i.value is not None]
    said = [i for i in said if i.parameter in (None, odd.parameter)]
    return f"{said[0].value:.10g} {said[0].unit or ''}" if len(said) == 1 else ""


def _quote(item: Reading) -> Part:
    plain = replace(item, vat=None, of="tank") if item.tank is None and item.vat else item
    return Part(said=(quantities.reading(plain),), tank=item.tank or item.vat, at=item.at, stored=True)


def _also_had(turn: Turn, item: Reading) -> tuple[str, ...]:
    """The same test by somebody else within a quarter of an hour: both are kept, and both are seen."""
    at, near = item.at or turn.said_at, timedelta(minutes=table("conversation")["same_test"]["within"])
    if not item.tank or item.of != "tank":
        return ()
    found = (f for f in logbook.series(turn.db, item.tank, item.parameter, 5, at + near) if at - f.at <= near)
    others = (f for f in found if f.who != turn.who.name and f.message_id != turn.message_id)
    return tuple(wording.also_had(f.who, f.item, _clock(turn, f)) for f in [*others][:1] if isinstance(f.item, Reading))


def _clock(turn: Turn, fact: Fact) -> str:
    return entries.clock(turn.local(fact.at), turn.local(turn.now).date())


def _quoted(turn: Turn, item: Reading) -> Fact | None:
    """The reading of the same test and place in the message replied to."""
    same = (f for f in replied_facts(turn) if isinstance(f.item, Reading) and f.item.parameter == item.parameter)
    return next((f for f in same if getattr(f.item, "of", None) == item.of), None)
