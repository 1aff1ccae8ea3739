"""What the record holds that moves or uses up supplies."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlite_utils import Database

from bot.store import logbook
from bot.store.database import instant, one
from bot.store.logbook import Fact

_MANY = 1_000_000
_ACTS = {
    "event": ("dose", "filter_service"),
    "wait": ("bleach_soak", "rinse_soak"),
    "control": ("done", "answer"),
    "batch": (),
}


def began(db: Database) -> datetime | None:
    """When stock was first spoken of; None where it never was."""
    row = one(db, "select min(at) as at from fact where kind = 'stock' and name <> 'asked'")
    return instant(row["at"]) if row and row["at"] is not None else None


def movements(db: Database, since: datetime | None) -> list[Fact]:
    """Every word about stock in force since then, in the order said."""
    return _in_order(logbook.events(db, None, since=since, kind="stock", limit=_MANY))


def acts(
    db: Database, tests: Iterable[str], since: datetime | None, until: datetime | None = None
) -> list[Fact]:  # fmt: skip
    """Everything in force that can use supplies up: tests of the parameters named, doses, services, soaks, batches."""
    names = list(tests)
    found = [
        f for kind, acts in _ACTS.items() for f in logbook.events(db, None, acts, since, until, limit=_MANY, kind=kind)
    ]
    if names:
        found += logbook.events(db, None, names, since, until, limit=_MANY, kind="reading")
    return _in_order(found)


def _in_order(found: list[Fact]) -> list[Fact]:
    return sorted(found, key=lambda f: (f.at, f.id))
