"""What stands in the vats just now: batches folded from the record, how each rests, what was measured of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Reading
from bot.rules import batches as rules
from bot.rules import matching
from bot.rules.batches import Entry, NewWater
from bot.rules.matching import Sample
from bot.rules.scales import level_of
from bot.store import batches as store
from bot.store import waits
from bot.store.waits import WaitRow
from bot.team import Vat

_CLEAR = ("strip_clear", "no_tap")


@dataclass(frozen=True)
class Standing:
    """How far a batch is: empty, resting, untested, stopped or ready; `due` where it rests.

    Remixed: its vat rests anew, and nobody said what went into it.
    """

    state: str
    due: datetime | None = None
    row: WaitRow | None = None


def load(turn: Turn, whole: bool = False, without: int | None = None) -> tuple[NewWater, ...]:
    """The batches of the last weeks (`whole`: of all time) as they stand; `without` leaves out one message."""
    since = None if whole else turn.now - timedelta(days=table("batches")["live"]["value"])
    found = [f for f in store.facts(turn.db, since) if f.message_id != without]
    entries = [Entry(f.at, f.who, f.item, f.message_id) for f in found]
    return rules.fold(entries, lambda tank: volume_L(turn, tank), lambda vat: room_L(turn.team.vat(vat)))


def there(turn: Turn) -> list[NewWater]:
    """The batches of which something is left, oldest first."""
    return [w for w in load(turn) if w.is_there]


def placed(turn: Turn, item: Reading) -> Reading:
    """A reading of a batch with the vat that it is of: by its number, else the only batch there is."""
    if item.of != "batch" or item.vat:
        return item
    found = [w for w in load(turn) if w.number == item.batch] if item.batch else there(turn)
    return replace(item, vat=found[0].vat, tank=None) if len(found) == 1 else item


def volume_L(turn: Turn, tank: str | None) -> float | None:
    """The water of a tank in litres; None where it is not on file."""
    known = turn.tank(tank)
    return rules.litres(known.volume.value, known.volume.unit) if known and known.volume else None


def room_L(vat: Vat | None) -> float | None:
    """What a vat holds when full, litres."""
    return rules.litres(vat.volume.value, vat.volume.unit) if vat and vat.volume else None


def standing(turn: Turn, water: NewWater) -> Standing:
    """How far the batch is."""
    row = store.rest(turn.db, water.number)
    if not water.is_there:
        return Standing("empty", None, row)
    anew = store.bare_rest(turn.db, water.vat)
    if anew:
        return Standing("remixed", anew.due_at, anew)
    if row is None or row.state == "done":
        return Standing("ready", None, row)
    if row.state == "running" and row.due_at > turn.now:
        return Standing("resting", row.due_at, row)
    return Standing("stopped" if row.state == "stopped" else "untested", row.due_at, row)


def sample(turn: Turn, water: NewWater) -> Sample:
    """What is known of the batch's water now."""
    return matching.sample(store.readings(turn.db, water.vat, water.at), turn.now, "batch")


def chlorine(turn: Turn, water: NewWater) -> str:
    """Whether total chlorine was tested: clear, shows, untested; none where no tap water is in it."""
    found = [(at, _of_value(level_of(r), r.below)) for at, r in _chlorine_readings(turn, water)]
    found += [
        (at, "clear" if what == "strip_clear" else "shows") for at, what in water.seen if what.startswith("strip")
    ]
    if found:
        return max(found)[1]
    row = store.rest(turn.db, water.number)
    answered = row.data.get("answers", {}).get("chlorine") if row and row.state == "done" else None
    if answered in _CLEAR:
        return "clear"
    return "none" if water.source in ("ro", "sea") else "untested"


def _chlorine_readings(turn: Turn, water: NewWater) -> list[tuple[datetime, Reading]]:
    return [r for r in store.readings(turn.db, water.vat, water.at) if r[1].parameter == "chlorine"]


def _of_value(value: float, below: bool) -> str:
    return "clear" if value == 0 or below else "shows"


def stop_rest(turn: Turn, number: int | None) -> None:
    """A batch that is gone, or has become part of another, pings nobody any more."""
    row = store.rest(turn.db, number) if number is not None else None
    if row and row.is_open:
        waits.alter_wait(turn.db, turn.message_id, row.id, state="stopped", next_at=None, ended_at=turn.said_at)


def us(turn: Turn) -> bool:
    """Whether this person reads gallons and degrees Fahrenheit."""
    return (turn.who.units or turn.team.units) == "us"


def holds(turn: Turn, vat: str | None) -> str | None:
    """What a vat is for: salt or fresh; None where nobody said."""
    known = turn.team.vat(vat)
    return known.holds if known else None
