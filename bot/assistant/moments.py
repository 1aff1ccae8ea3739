"""When the planned moments of a day come: worked out from the team's clock, not kept; noted is only the last look."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.facts.load import table
from bot.store import pulse
from bot.store.database import instant, one

NAME = "cards"


def next_moment(db: Database) -> datetime | None:
    """The next morning or evening that has not been dealt with; None where there is no team."""
    since = _since(db)
    zone = _zone(db)
    if since is None or zone is None:
        return None
    day = since.astimezone(zone).date()
    return min(at for n in (0, 1) for _, at in _moments(day + timedelta(days=n), zone) if at > since)


def noon_after_last_word(db: Database) -> datetime | None:
    """The noon after the last thing that was written down."""
    since, zone = _last_written(db), _zone(db)
    if since is None or zone is None:
        return None
    noon = time.fromisoformat(table("cards")["looks"]["noon"])
    days = [since.astimezone(zone).date() + timedelta(days=n) for n in (0, 1)]
    return min(at for day in days if (at := datetime.combine(day, noon, zone).astimezone(UTC)) > since)


def come(db: Database, now: datetime) -> tuple[str, ...]:
    """The moments that have come since the last look, and are not too late for a card."""
    since, zone = _since(db), _zone(db)
    if since is None or zone is None or (next_moment(db) or now) > now:
        return ()
    pulse.beat(db, NAME, now)
    oldest = max(since, now - timedelta(minutes=table("cards")["late"]["value"]))
    days = [now.astimezone(zone).date() - timedelta(days=n) for n in (1, 0)]
    return tuple(name for day in days for name, at in _moments(day, zone) if oldest < at <= now)


def _moments(day: date, zone: ZoneInfo) -> list[tuple[str, datetime]]:
    told = table("cards")["moments"].items()
    return [(name, datetime.combine(day, time.fromisoformat(at), zone).astimezone(UTC)) for name, at in told]


def _since(db: Database) -> datetime | None:
    """The last look; before the first one, the last thing that was written down."""
    return pulse.last(db, NAME) or _last_written(db)


def _last_written(db: Database) -> datetime | None:
    row = one(db, "select max(at) as at from message")
    return instant(row["at"]) if row and row["at"] is not None else None


def _zone(db: Database) -> ZoneInfo | None:
    row = one(db, "select data from roster where kind = 'team' and active = 1")
    return ZoneInfo(json.loads(row["data"]).get("zone", "America/New_York")) if row else None
