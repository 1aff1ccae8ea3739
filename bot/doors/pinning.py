"""Keeps the pinned cards as things stand: posted fresh each day and pinned without a sound, edited while they hold."""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from bot.assistant.pinned import Card, cards
from bot.doors import logs
from bot.doors.send import verdict
from bot.store import pulse
from bot.store.accounts import number_of
from bot.store.database import writing
from bot.store.roster import load_team

LOOK_S = 20.0
AT_ONCE = 5
"""Cards changed in one look: a group shares twenty messages a minute."""
LASTS = timedelta(hours=40)
"""A message is edited no longer than the service surely lets us."""

Call = Callable[..., Awaitable[Any]]


class Pinner:
    """Runs beside the service. A chat that refuses (no rights to pin, gone) is left as it is until the next day."""

    def __init__(self, db: Database, call: Call, now: Callable[[], datetime]) -> None:
        self._db, self._call, self._now = db, call, now

    async def run(self) -> None:
        """Looks now and then until cancelled."""
        while True:
            await asyncio.sleep(LOOK_S)
            try:
                await self.look()
            except sqlite3.Error as fault:
                logs.event("pinned cards cannot be worked out", logging.ERROR, why=str(fault))

    async def look(self) -> None:
        """Brings what has changed up to date."""
        now = self._now()
        changed = [(c, known) for c in cards(self._db, now) if (known := self._known(c)).get("text") != c.text]
        for card, known in changed[:AT_ONCE]:
            await self._show(card, known, now)

    async def _show(self, card: Card, known: dict[str, Any], now: datetime) -> None:
        number = number_of(self._db, card.chat)
        if number is None:
            return
        message = known.get("message") if self._still_holds(card, known, now) else None
        try:
            message = await self._edit(number, int(message), card) if message else await self._post(number, card)
            posted = known["posted"] if known.get("message") == message else now.timestamp()
        except Exception as fault:
            logs.event("card not pinned", logging.WARNING, chat=logs.masked(number), why=str(fault))
            if verdict(fault).what == "again":
                return
            message, posted = known.get("message"), known.get("posted", now.timestamp())
        with writing(self._db):
            pulse.beat(self._db, _name(card), now, text=card.text, message=message, posted=posted)

    async def _edit(self, number: str, message: int, card: Card) -> int:
        try:
            await self._call("editMessageText", chat_id=int(number), message_id=message, text=card.text)
        except Exception as fault:
            if verdict(fault).what != "delivered":
                raise
        return message

    async def _post(self, number: str, card: Card) -> int:
        topic = {"message_thread_id": int(card.topic)} if card.topic else {}
        sent = await self._call(
            "sendMessage", chat_id=int(number), text=card.text, disable_notification=True, **topic
        )  # fmt: skip
        message = int(dict(sent)["message_id"])
        await self._call("pinChatMessage", chat_id=int(number), message_id=message, disable_notification=True)
        return message

    def _known(self, card: Card) -> dict[str, Any]:
        found = pulse.beats(self._db).get(_name(card))
        return found[1] if found else {}

    def _still_holds(self, card: Card, known: dict[str, Any], now: datetime) -> bool:
        """A private card is fresh each day; a topic's is edited as long as that surely works."""
        if "posted" not in known:
            return False
        posted = datetime.fromtimestamp(known["posted"], now.tzinfo)
        zone = load_team(self._db).zone
        same_day = _day(posted, zone) == _day(now, zone)
        return same_day if card.topic is None else now - posted < LASTS


def _day(at: datetime, zone: str) -> str:
    return at.astimezone(ZoneInfo(zone)).date().isoformat()


def _name(card: Card) -> str:
    return f"pin:{card.chat}:{card.topic or ''}"
