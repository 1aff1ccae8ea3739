"""The own polling loop: ask, store, and only then ask with the higher offset. Deaf for no single hiccup."""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from telegram.error import InvalidToken, RetryAfter

from bot.doors import logs
from bot.doors.intake import Intake
from bot.doors.send import asked_to_wait
from bot.doors.signs import Signs
from bot.store.faults import fault_in_words

T = TypeVar("T")
Asker = Callable[[int, int], Awaitable[list[dict[str, Any]]]]


class Refused(Exception):
    """The service refused the token again and again."""


@dataclass(frozen=True)
class Patience:
    """Seconds: how long one poll waits, how long until the next try after faults, and after refusals of the token."""

    poll: int = 30
    first: float = 1.0
    longest: float = 30.0
    refusals: tuple[float, ...] = (1.0, 5.0, 25.0, 60.0)

    def after(self, faults: int) -> float:
        """Seconds to wait after so many faults in a row."""
        return float(min(self.longest, self.first * 2.0 ** (faults - 1)))


class Poller:
    """Asks for updates for ever. `back` is called when an answer comes after faults."""

    def __init__(
        self, ask: Asker, intake: Intake, now: Callable[[], datetime], signs: Signs, back: Callable[[], None],
        patience: Patience,
    ) -> None:  # fmt: skip
        self._ask, self._intake, self._now, self._signs = ask, intake, now, signs
        self._back, self._patience = back, patience
        self._offset, self._faults, self._refusals = 0, 0, 0

    async def run(self) -> None:
        """Polls until cancelled; raises Refused when the token is refused as often as patience allows."""
        while True:
            await self.once(self._patience.poll)

    async def once(self, seconds: int) -> int:
        """One poll; returns how many updates came, after waiting as long as a fault asks for."""
        return await self.attempt(lambda: self._poll(seconds)) or 0

    async def attempt(self, act: Callable[[], Awaitable[T]]) -> T | None:
        """The result of an act at the service; None after a fault, and after the wait that it asks for."""
        try:
            return await act()
        except InvalidToken:
            await self._refused()
        except Exception as fault:
            await self._failed(fault)
        return None

    async def _poll(self, seconds: int) -> int:
        updates = await self._ask(self._offset, seconds)
        self._answered()
        highest = self._intake.take(updates)
        self._signs.trouble = None
        if highest:
            self._offset = highest + 1
        elif updates:
            await asyncio.sleep(self._patience.first)
        return len(updates)

    def _answered(self) -> None:
        if self._faults:
            self._back()
        self._faults = self._refusals = 0
        self._signs.network_down = False
        self._signs.note("polls", self._now())

    async def _refused(self) -> None:
        """One refusal may be a hiccup of something in between; many in a row are meant."""
        if self._refusals >= len(self._patience.refusals):
            raise Refused
        self._signs.note("token_refused", self._now())
        logs.event("token refused", logging.ERROR, times=self._refusals + 1)
        await asyncio.sleep(self._patience.refusals[self._refusals])
        self._refusals += 1

    async def _failed(self, fault: Exception) -> None:
        self._faults += 1
        if isinstance(fault, sqlite3.Error):
            self._signs.trouble = fault_in_words(fault) or str(fault)
        else:
            self._signs.network_down = True
        self._signs.note("poll_faults", self._now())
        wait = self._patience.after(self._faults)
        if isinstance(fault, RetryAfter):
            wait = max(wait, asked_to_wait(fault))
        logs.event("poll failed", logging.WARNING, why=f"{type(fault).__name__}: {fault}", next_try_s=round(wait, 1))
        await asyncio.sleep(wait)
