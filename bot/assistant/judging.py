"""A reading against its tank: what there is to say of it, and whether it is so unlike it that it is kept in doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Event, Reading, Understood
from bot.rules.judged import Record, Verdict
from bot.rules.readings import judge
from bot.rules.usual import Done, Seen
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import quantities
from bot.wording import readings as wording

# A remark of the judging comes after warnings that keep harm away at this very moment.
_RANK = 100


def keep(turn: Turn, item: Reading) -> tuple[str, Ask | None]:
    """Keeps a reading and returns how it is quoted; one unlike its tank unconfirmed, with the question about it."""
    odd = next((v for v in verdicts(turn, item) if v.kind == "unlike"), None)
    if odd is None:
        turn.keep(item)
        return quantities.reading(item), None
    fact_id = turn.keep(replace(item, unconfirmed=True))
    said, asked = wording.question(odd, item)
    return said, Ask(asked, wording.choices(odd, item), "unconfirmed", "unlikely_value", None, {"fact": fact_id})


def remarks(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """What the message's readings, each seen beside the others, make worth saying; only the best of it is said."""
    said = [f.item for f in logbook.facts_of(turn.db, [turn.message_id]) if isinstance(f.item, Reading) and not f.void]
    found = [v for item in said if not item.unconfirmed for v in verdicts(turn, item) if v.kind != "unlike"]
    return [Part(remark=(_RANK + v.rank, wording.remark(v))) for v in found]


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


def _record(turn: Turn, tank: str, item: Reading, at: datetime, own_message: int) -> Record:
    """The tank's past of this test, all that was measured about the same time, and what was done there lately."""
    look = table("conversation")["judging"]
    own = logbook.series(turn.db, tank, item.parameter, int(look["readings"]), at)
    near = logbook.events(turn.db, tank, since=at - timedelta(days=look["near_days"]), kind="reading")
    done = logbook.events(turn.db, tank, since=at - timedelta(days=look["done_days"]), until=at)
    seen: dict[str, list[Seen]] = {}
    for fact in sorted({f.id: f for f in (*own, *near)}.values(), key=lambda f: (f.at, f.id), reverse=True):
        if isinstance(fact.item, Reading) and _counts(fact, item, own_message):
            seen.setdefault(fact.item.parameter, []).append(Seen(fact.at, fact.item))
    return Record(seen, [Done(f.at, f.item) for f in done if isinstance(f.item, Event)])


def _counts(fact: Fact, item: Reading, own_message: int) -> bool:
    """Whether an earlier fact stands beside the reading: confirmed, of the tank itself, and not the reading's own."""
    other = fact.item
    if not isinstance(other, Reading) or other.unconfirmed or other.of != "tank":
        return False
    return not (other.parameter == item.parameter and fact.message_id == own_message)
