"""A reading: judged against its tank, kept, quoted; one unlike the tank is kept unconfirmed and asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.assistant import asking, corrections
from bot.assistant.conversation import replied_facts, situation
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Correction, Event, Item, Reading, Situation, Understood
from bot.rules.judged import Record, Verdict
from bot.rules.readings import judge
from bot.rules.usual import Done, Seen
from bot.store import logbook
from bot.store.logbook import Fact
from bot.store.pending import Pending
from bot.understanding.read import read
from bot.wording import quantities
from bot.wording import readings as wording

# A remark of the judging comes after warnings that keep harm away at this very moment.
_RANK = 100


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a reading and quotes it; as a reply to a quote of the same test, it corrects that one."""
    assert isinstance(item, Reading)
    quoted = _quoted(turn, item)
    if quoted:
        return corrections.replace_fact(turn, quoted, item)
    odd = next((v for v in verdicts(turn, item) if v.kind == "unlike"), None)
    if odd:
        return [_kept_in_doubt(turn, item, odd)]
    turn.keep(item)
    return [_quote(item)]


def remarks(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """What the message's readings, each seen beside the others, make worth saying; only the best of it is said."""
    said = [f.item for f in logbook.facts_of(turn.db, [turn.message_id]) if isinstance(f.item, Reading) and not f.void]
    found = [v for item in said if not item.unconfirmed for v in verdicts(turn, item) if v.kind != "unlike"]
    return [Part(remark=(_RANK + v.rank, wording.remark(v))) for v in found]


def verdicts(turn: Turn, item: Reading, stands: bool = False) -> tuple[Verdict, ...]:
    """What there is to say about a reading; nothing where its tank is not on the list."""
    tank = turn.tank(item.tank)
    at = item.at or turn.said_at
    return judge(item, at, tank, _record(turn, tank.name, item, at), stands) if tank else ()


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
    for phrase in (words, f"{odd.parameter} {words}", f"{odd.parameter} {_value_meant(words, known)}"):
        understood = read(phrase, known)
        found = [i for i in understood.items if isinstance(i, Reading) and i.parameter == odd.parameter]
        alone = len(found) == len(understood.items) == 1 and not understood.unread
        if alone and found[0].tank == odd.tank:
            return replace(odd, value=found[0].value, unit=found[0].unit, unconfirmed=False)
    return None


def _value_meant(words: str, known: Situation) -> str:
    """The value of words that correct something without naming it."""
    said = [i for i in read(words, known).items if isinstance(i, Correction) and i.value is not None]
    return f"{said[0].value:.10g} {said[0].unit or ''}" if len(said) == 1 else ""


def _kept_in_doubt(turn: Turn, item: Reading, odd: Verdict) -> Part:
    fact_id = turn.keep(replace(item, unconfirmed=True))
    first, second = wording.question(odd, item)
    ask = Ask(second, wording.choices(odd, item), "unconfirmed", "unlikely_value", None, {"fact": fact_id})
    return Part(said=(first,), tank=item.tank, at=item.at, stored=True, ask=ask)


def _quote(item: Reading) -> Part:
    return Part(said=(quantities.reading(item),), tank=item.tank or item.vat, at=item.at, stored=True)


def _record(turn: Turn, tank: str, item: Reading, at: datetime) -> Record:
    """The tank's past of this test, all that was measured about the same time, and what was done there lately."""
    look = table("conversation")["judging"]
    own = logbook.series(turn.db, tank, item.parameter, int(look["readings"]), at)
    near = logbook.events(turn.db, tank, since=at - timedelta(days=look["near_days"]), kind="reading")
    done = logbook.events(turn.db, tank, since=at - timedelta(days=look["done_days"]), until=at)
    seen: dict[str, list[Seen]] = {}
    for fact in sorted({f.id: f for f in (*own, *near)}.values(), key=lambda f: (f.at, f.id), reverse=True):
        if isinstance(fact.item, Reading) and _counts(turn, fact, item, at):
            seen.setdefault(fact.item.parameter, []).append(Seen(fact.at, fact.item))
    return Record(seen, [Done(f.at, f.item) for f in done if isinstance(f.item, Event)])


def _counts(turn: Turn, fact: Fact, item: Reading, at: datetime) -> bool:
    """Whether an earlier fact stands beside the reading: confirmed, of the tank itself, and not the reading's own."""
    other = fact.item
    if not isinstance(other, Reading) or other.unconfirmed or other.of != "tank":
        return False
    return not (other.parameter == item.parameter and fact.message_id == turn.message_id)


def _quoted(turn: Turn, item: Reading) -> Fact | None:
    """The reading of the same test and place in the message replied to."""
    same = (f for f in replied_facts(turn) if isinstance(f.item, Reading) and f.item.parameter == item.parameter)
    return next((f for f in same if getattr(f.item, "of", None) == item.of), None)
