"""What needs doing now and then: signs of life, copies of the database, a word to the owners in trouble."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from sqlite_utils import Database

from bot.doors import logs
from bot.doors.pace import Window, Windows
from bot.doors.settings import Copies
from bot.doors.signs import Signs
from bot.doors.watch import KEEP_UPDATES, Health, beat
from bot.facts.load import table
from bot.store import accounts, files, inbox, pulse
from bot.store.backup import NotACopy, copies, make_copy, rehearse, thin_out
from bot.store.database import writing
from bot.store.roster import load_team
from bot.wording import service

BEAT_S, TOLD_AGAIN_S = 10.0, 3600.0


class Housekeeping:
    """Runs beside the service. `tell(number, text)` sends a line past the outbox, which may be what is in trouble."""

    def __init__(
        self, db: Database, path: Path, keep: Copies, signs: Signs, now: Callable[[], datetime],
        tell: Callable[[str, str], None], notify: Callable[[str], None], state: Callable[[], Health],
    ) -> None:  # fmt: skip
        self._db, self._path, self._keep, self._signs, self._now = db, path, keep, signs, now
        self._tell, self._notify, self._state = tell, notify, state
        self._told = Windows(lambda _: Window(1, TOLD_AGAIN_S))
        self._purged_at: datetime | None = None

    async def run(self) -> None:
        """Every few seconds until cancelled."""
        self._notify("READY=1")
        while True:
            state, now = self._state(), self._now()
            if state.alive:
                self._notify("WATCHDOG=1")
            else:
                logs.event("not alive", logging.CRITICAL, why=state.why)
            beat(self._db, self._signs, now, state)
            try:
                self._purge(now)
                self._speak_up()
                await self._copy(now)
                await self._rehearse(now)
            except (NotACopy, OSError, sqlite3.Error) as fault:
                self._signs.note("upkeep_faults", now)
                if self._told.allows(str(fault), asyncio.get_running_loop().time()):
                    logs.event("upkeep not done", logging.ERROR, why=str(fault))
            await asyncio.sleep(BEAT_S)

    def _purge(self, now: datetime) -> None:
        """Updates worked off long ago, once a day."""
        if self._purged_at is not None and now - self._purged_at < timedelta(days=1):
            return
        with writing(self._db):
            inbox.purge(self._db, now - KEEP_UPDATES)
        with contextlib.suppress(OSError):
            kept = timedelta(days=table("plots")["kept"]["value"])
            files.clean(self._path.with_name(self._path.name + ".files"), now - kept)
        self._purged_at = now

    def _speak_up(self) -> None:
        """Tells the owners what is wrong with the store, once an hour for each trouble."""
        trouble = self._signs.trouble
        if trouble and self._told.allows(trouble, asyncio.get_running_loop().time()):
            for owner in load_team(self._db).with_role("owner"):
                number = accounts.number_of(self._db, owner.name)
                if number:
                    self._tell(number, service.trouble(trouble))

    async def _copy(self, now: datetime) -> None:
        """A copy when the newest is old enough; made in a thread, on connections of its own."""
        there = copies(self._keep.folder)
        if there and now - there[0][0] < timedelta(hours=self._keep.hours):
            return
        await asyncio.to_thread(make_copy, self._path, self._keep.folder, now)
        self._signs.note("copies", now)
        thin_out(self._keep.folder)

    async def _rehearse(self, now: datetime) -> None:
        """Puts the newest copy back for a test, now and then; what came of it stands on the owner's month card."""
        every, last = table("cards")["restore_test"], pulse.beats(self._db).get("restore_test")
        there = copies(self._keep.folder)
        days = every["again"]["value"] if last and last[1]["why"] else every["value"]
        if not there or (last and now - last[0] < timedelta(days=days)):
            return
        found = await asyncio.to_thread(rehearse, there[0][1], now)
        with writing(self._db):
            pulse.beat(self._db, "restore_test", now, rows=found.rows, why=found.why)
        self._signs.note("restore_tests" if not found.why else "restore_tests_failed", now)
