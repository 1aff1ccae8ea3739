"""Animals added, lost, moved: kept like any event, with how many are left; what lives in a tank, on request."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.assistant import events
from bot.assistant.history_parts import tank_of
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item
from bot.rules import animals as rules
from bot.store import logbook
from bot.store.journal import first_noted
from bot.store.roster import row_of
from bot.wording import animals as wording

NAMES = ("livestock_added", "livestock_lost", "livestock_moved")


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps it, and says how many there are now; several losses close together are worth a remark."""
    assert isinstance(item, Event)
    parts = events.take(turn, item)
    if not item.tank or not any(p.stored for p in parts):
        return parts
    left = _left(turn, item)
    losses = _losses_lately(turn, item)
    remark = (_RANK, wording.losses(losses, _days())) if losses >= _many() else None
    return [*parts, Part(lines=(wording.left(*left),) if left else (), remark=remark)]


_RANK = 60


def living(turn: Turn, item: Control) -> list[str]:
    """What lives in a tank now."""
    tank = str(tank_of(turn, item))
    return wording.living(tank, census(turn, tank))


def census(turn: Turn, tank: str) -> rules.Census:
    """How many of each there are in a tank: its list on file, and what came and went since that was written."""
    known = turn.tank(tank)
    if known is None:
        return {}
    since = _counted_at(turn, tank)
    told = logbook.events(turn.db, None, NAMES, since, limit=5000)
    own = [f.item for f in reversed(told) if isinstance(f.item, Event) and f.at >= since]
    return rules.census(known.animals, own, tank)


def _counted_at(turn: Turn, tank: str) -> datetime:
    """When the list on file was counted: as said, else when the tank was put on the list."""
    known = turn.tank(tank)
    told = known.data.get("counted_at") if known else None
    row = row_of(turn.db, "tank", tank)
    return datetime.fromisoformat(told) if told else first_noted(turn.db, "roster", row["id"]) if row else turn.now


def _left(turn: Turn, item: Event) -> tuple[str, int] | None:
    """The kind and how many of it there are now; None where the list has no such kind."""
    known = turn.tank(item.tank)
    listed = census(turn, item.tank or "")
    names = [str(each["name"]) for each in known.animals] if known else []
    name = rules.kind_in([*listed, *(n for n in names if n not in listed)], item.subject or "")
    return (name, listed.get(name, 0)) if name else None


def _losses_lately(turn: Turn, item: Event) -> int:
    """How many animals were lost there within the last days, this one included."""
    if item.event != "livestock_lost":
        return 0
    since = turn.now - timedelta(days=_days())
    found = logbook.events(turn.db, item.tank, ["livestock_lost"], since)
    return sum(f.item.count or 1 for f in found if isinstance(f.item, Event))


def _days() -> int:
    return int(table("conversation")["losses"]["days"])


def _many() -> int:
    return int(table("conversation")["losses"]["many"])
