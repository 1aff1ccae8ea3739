"""Takes messages out of a chat again: what was typed with a door code in it, and a code that was shown."""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from collections.abc import Awaitable, Callable
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.doors import logs
from bot.doors.send import verdict
from bot.store import removals
from bot.store.accounts import number_of
from bot.store.database import writing

LOOK_S = 2.0


class Remover:
    """Runs beside the service. A message that the service will not take out (too old, gone) is let be."""

    def __init__(self, db: Database, call: Callable[..., Awaitable[Any]], now: Callable[[], datetime]) -> None:
        self._db, self._call, self._now = db, call, now

    async def run(self) -> None:
        """Looks every few seconds until cancelled."""
        while True:
            try:
                for row in removals.due(self._db, self._now()):
                    await self._remove(row)
            except sqlite3.Error as fault:
                logs.event("messages to be taken out cannot be read", logging.ERROR, why=str(fault))
            await asyncio.sleep(LOOK_S)

    async def _remove(self, row: dict[str, Any]) -> None:
        number, message = number_of(self._db, row["chat"]), str(row["ref"]).rpartition(":")[2]
        if number and message.isdigit():
            try:
                await self._call("deleteMessage", chat_id=int(number), message_id=int(message))
            except Exception as fault:
                logs.event("message not taken out", logging.WARNING, chat=logs.masked(number), why=str(fault))
                if verdict(fault).what == "again":
                    return
        with writing(self._db):
            removals.done(self._db, row["id"], self._now())
