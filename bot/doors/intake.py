"""Updates into the inbox, before the chat service is told that it may forget them; the same for both ways they come."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.doors.signs import Signs
from bot.doors.translate import chat_number
from bot.store.inbox import take_in


class Intake:
    """Stores updates, answers presses at once, and calls the worker. `call` makes a call of the service."""

    def __init__(
        self, db: Database, call: Callable[..., Awaitable[Any]], now: Callable[[], datetime], signs: Signs,
        wake: Callable[[], None],
    ) -> None:  # fmt: skip
        self._db, self._call, self._now, self._signs, self._wake = db, call, now, signs, wake
        self._answers: set[asyncio.Task[None]] = set()

    def take(self, updates: Iterable[Any]) -> int:
        """Stores what is new, in one transaction; returns the highest number among the updates, 0 for none.

        Raises sqlite3.Error where it cannot be stored: then the service must not be told that it was taken.
        """
        sound = [u for u in updates if isinstance(u, Mapping) and isinstance(u.get("update_id"), int)]
        new = take_in(self._db, [(chat_number(u), u) for u in sound], self._now()) if sound else 0
        self._signs.note("updates", self._now(), new)
        self._signs.counts["repeated"] += len(sound) - new
        for update in sound:
            self._answer_press(update)
        self._wake()
        return max((int(u["update_id"]) for u in sound), default=0)

    def _answer_press(self, update: Mapping[str, Any]) -> None:
        """Stops the button's waiting sign; nothing hangs on it, so it is tried once, beside everything else."""
        query = update.get("callback_query")
        if isinstance(query, Mapping) and "id" in query:
            task = asyncio.create_task(self._try(str(query["id"])))
            self._answers.add(task)
            task.add_done_callback(self._answers.discard)

    async def _try(self, query: str) -> None:
        try:
            await self._call("answerCallbackQuery", callback_query_id=query)
        except Exception:
            self._signs.counts["presses_not_answered"] += 1
