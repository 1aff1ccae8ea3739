"""A reading against its tank: what there is to say of it, and whether it is so unlike it that it is kept in doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.assistant import kits_in_use
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Event, Reading, Understood
from bot.messages import Button
from bot.rules.judged import BESIDE, Record, Verdict
from bot.rules.readings import judge
from bot.rules.scales import middle
from bot.rules.usual import Done, Seen, usual, values_of
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import kits as kit_words
from bot.wording import quantities
from bot.wording import readings as wording

# A remark of the judging comes after warnings that keep harm away at this very moment.
_RANK = 100
# Remarks about where a value is going: its plot is offered with them.
_TRENDS = ("leaving", "run")


def keep(turn: Turn, item: Reading) -> tuple[str, Ask | None]:
    """Keeps a reading and returns how it is quoted; one unlike its tank unconfirmed, with the question about it."""
    odd = next((v for v in verdicts(turn, item) if v.kind == "unlike"), None)
    expired = kits_in_use.expired(turn, item) if odd is None else None
    if odd is None and expired is None:
        turn.keep(item)
        return quantities.reading(item), None
    kept = {"fact": turn.keep(replace(item, unconfirmed=True))}
    if odd:
        said, asked = wording.question(odd, item)
        return said, Ask(asked, wording.choices(odd, item), "unconfirmed", "unlikely_value", None, kept)
    assert expired is not None
    said, asked = kit_words.doubted(item, expired), kit_words.NOT_YET
    return said, Ask(asked, kit_words.OPTIONS, "unconfirmed", "expired_kit", None, kept)


def remarks(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """What the message's readings, each seen beside the others, make worth saying; only the best of it is said."""
    said = [f for f in logbook.facts_of(turn.db, [turn.message_id]) if isinstance(f.item, Reading) and not f.void]
    found = [(v, f) for f in said if isinstance(f.item, Reading) and not f.item.unconfirmed
             for v in verdicts(turn, f.item) if v.kind != "unlike" and not _is_past(turn, v, f)]  # fmt: skip
    best = min(found, key=lambda each: each[0].rank, default=None)
    plot = (Button("Plot", f"pl:{best[1].id}"),) if best and best[0].kind in _TRENDS else ()
    return [
        Part(remark=(_RANK + v.rank, wording.remark(v)), buttons=plot if v is best[0] else ()) for v, _ in found if best
    ]


def _is_past(turn: Turn, verdict: Verdict, fact: Fact) -> bool:
    """Whether it asks for a second test at a time that lies behind: of a list sent hours later."""
    data = verdict.data
    return verdict.kind == "unmixed" and turn.now - fact.at >= timedelta(minutes=data["wait"] - data["minutes"])


def verdicts(turn: Turn, item: Reading, stands: bool = False) -> tuple[Verdict, ...]:
    """What there is to say about a reading; nothing where its tank is not on the list."""
    tank = turn.tank(item.tank)
    at = item.at or turn.said_at
    return judge(item, at, tank, _record(turn, tank.name, item, at, turn.message_id), stands) if tank else ()


def verdicts_of(turn: Turn, fact: Fact) -> tuple[Verdict, ...]:
    """The same of a reading on record, as of its own time."""
    tank = turn.tank(getattr(fact.item, "tank", None))
    if tank is None or not isinstance(fact.item, Reading):
        return ()
    return judge(fact.item, fact.at, tank, _record(turn, tank.name, fact.item, fact.at, fact.message_id))


def jump(turn: Turn, fact: Fact) -> int:
    """Which way a reading on record moved away from what its tank usually shows: 1, -1, or 0 for as always."""
    tank, item = turn.tank(getattr(fact.item, "tank", None)), fact.item
    value = middle(item) if isinstance(item, Reading) else None
    if tank is None or value is None or not isinstance(item, Reading):
        return 0
    record = _record(turn, tank.name, item, fact.at, fact.message_id)
    expected = usual(item.parameter, values_of(record.before(item.parameter, fact.at)))
    times = table("kits")["suspect"]["jump"]["value"] / table("judging")["unlike"]["times"]["value"]
    if expected is None or abs(value - expected.value) <= expected.within * times:
        return 0
    return 1 if value > expected.value else -1


def judged_since(turn: Turn, tank_name: str, since: datetime) -> list[tuple[Fact, tuple[Verdict, ...]]]:
    """Each reading of a tank since then with what there was to say of it, in one look at the record."""
    look, tank = table("conversation")["judging"], turn.tank(tank_name)
    if tank is None:
        return []
    before = since - timedelta(days=look["done_days"])
    past = logbook.events(turn.db, tank.name, since=before, kind="reading", limit=_MANY)
    done = _done(logbook.events(turn.db, tank.name, since=before, limit=_MANY))
    return [
        (fact, judge(fact.item, fact.at, tank, Record(_seen(past, fact.item, fact.message_id), done)))
        for fact in past if fact.at >= since and isinstance(fact.item, Reading)
    ]  # fmt: skip


_MANY = 3000


def _record(turn: Turn, tank: str, item: Reading, at: datetime, own_message: int) -> Record:
    """The tank's past of this test, what it is judged with about the same time, and what was done there lately."""
    look = table("conversation")["judging"]
    span = timedelta(days=look["near_days"])
    own = logbook.series(turn.db, tank, item.parameter, int(look["readings"]), at)
    beside = BESIDE.get(item.parameter, ())
    near = logbook.events(turn.db, tank, beside, at - span, at + span, kind="reading") if beside else ()
    done = logbook.events(turn.db, tank, since=at - timedelta(days=look["done_days"]), until=at)
    together = sorted({f.id: f for f in (*own, *near)}.values(), key=lambda f: (f.at, f.id), reverse=True)
    return Record(_seen(together, item, own_message), _done(done))


def _seen(past: Sequence[Fact], item: Reading, own_message: int) -> dict[str, list[Seen]]:
    """The readings that stand beside one, by test, the newest first."""
    seen: dict[str, list[Seen]] = {}
    for fact in past:
        if isinstance(fact.item, Reading) and _counts(fact, item, own_message):
            seen.setdefault(fact.item.parameter, []).append(Seen(fact.at, fact.item))
    return seen


def _done(found: Sequence[Fact]) -> list[Done]:
    return [Done(f.at, f.item) for f in found if isinstance(f.item, Event)]


def _counts(fact: Fact, item: Reading, own_message: int) -> bool:
    """Whether an earlier fact stands beside the reading: confirmed, of the tank itself, and not the reading's own."""
    other = fact.item
    if not isinstance(other, Reading) or other.unconfirmed or other.of != "tank":
        return False
    return not (other.parameter == item.parameter and fact.message_id == own_message)
