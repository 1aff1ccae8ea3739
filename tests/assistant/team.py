"""A small invented team in a database in memory, and how to speak to the desk in a test."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from sqlite_utils import Database

from bot.assistant.desk import handle
from bot.messages import Edited, Incoming, Pressed, Tick
from bot.store import logbook, outbox
from bot.store.database import add, open_database, rows, writing
from bot.store.roster import set_up_team

START = datetime(2026, 3, 10, 13, 0, tzinfo=UTC)
TEAM: dict[str, Any] = {
    "name": "Test round",
    "units": "us",
    "zone": "America/New_York",
    "people": [
        {"name": "ana", "role": "technician"},
        {"name": "ben", "role": "technician"},
        {"name": "cleo", "role": "office"},
        {"name": "dora", "role": "owner"},
    ],
    "tanks": [
        {"name": "Elm lobby", "kind": "reef", "volume": {"value": 100, "unit": "gal"}, "invertebrates": True},
        {"name": "Fir bar", "kind": "marine fish-only", "volume": {"value": 60, "unit": "gal"}},
    ],
    "vats": [{"name": "Vat 1", "volume": {"value": 100, "unit": "gal"}, "holds": "salt"}],
}


class Chat:
    """A conversation with the desk on a clock that moves only when told."""

    def __init__(self, team: dict[str, Any] | None = None, start: datetime = START) -> None:
        self.db: Database = open_database(":memory:")
        self.now = start
        self.count = 0
        with writing(self.db):
            cause = add(self.db, "message", kind="import", chat="", who="", at=start, stored_at=start, text="team")
            set_up_team(self.db, cause, team or TEAM)

    def say(self, who: str, text: str, **more: Any) -> str:
        """What the bot answers in the chat of the one who spoke; the message's ref is in `last_ref`."""
        self.count += 1
        self.last_ref = f"m{self.count}"
        handle(self.db, Incoming(self.now, who, who, text, self.last_ref, **more))
        return self._told(who)

    def edit(self, who: str, ref: str, text: str) -> str:
        """What the bot answers to an edit."""
        handle(self.db, Edited(self.now, who, who, text, ref))
        return self._told(who)

    def press(self, who: str, label: str) -> str:
        """What the bot answers to a press; AssertionError where no message shows the button."""
        button = outbox.labelled(self.db, who, label)
        assert button is not None, label
        handle(self.db, Pressed(self.now, who, who, button.data))
        return self._told(who)

    def wait(self, **span: float) -> dict[str, str]:
        """Time passes in one go; what was said meanwhile, by chat."""
        self.now += timedelta(**span)
        handle(self.db, Tick(self.now))
        return {row["chat"]: row["text"] for row in self.drained()}

    def in_force(self) -> list[Any]:
        """The items of all facts in force, in the order said."""
        ids = [row["id"] for row in rows(self.db, "select id from fact order by id")]
        facts = [f for i in ids if (f := logbook.fact(self.db, i)) and not f.void]
        return [f.item for f in facts]

    def _told(self, who: str) -> str:
        return "\n".join(row["text"] for row in self.drained() if row["chat"] == who)

    def drained(self) -> list[dict[str, Any]]:
        """What the bot has put out since the last look, delivered."""
        found = outbox.unsent(self.db, 1000)
        for row in found:
            outbox.crossed_off(self.db, row["id"], self.now, ref=f"b{row['id']}")
        return found
