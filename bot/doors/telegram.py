"""The chat service's door: takes in, works off, delivers, and looks at the clock, until it is told to stop."""

from __future__ import annotations

import asyncio
import logging
import signal
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlite_utils import Database

from bot.doors import logs
from bot.doors.access import Access
from bot.doors.alarm import Alarm
from bot.doors.api import Api, upload
from bot.doors.drain import Drain
from bot.doors.fetch import Fetcher
from bot.doors.intake import Intake
from bot.doors.lock import Held, only_process
from bot.doors.pace import PUBLISHED, Gate, Pace
from bot.doors.poll import Patience, Poller, Refused
from bot.doors.send import Call
from bot.doors.settings import Settings
from bot.doors.signs import Signs
from bot.doors.work import Handle, Worker
from bot.messages import Tick
from bot.store import inbox, pulse, waits
from bot.store.database import NewerFile, open_database, writing
from bot.store.faults import fault_in_words
from bot.wording import service

# Exit statuses, so that whatever starts the service knows what is worth another try (names of sysexits).
STOPPED, DISK, AGAIN, SETTINGS = 0, 74, 75, 78
AWAY_S = 60.0  # a shorter gap is a restart, not worth a word
BEAT_S, LAST_WORDS_S = 10.0, 5.0


@dataclass(frozen=True)
class How:
    """What tests and measurements change: the clock, the pace, the patience, how often to look."""

    now: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    pace: Pace = PUBLISHED
    patience: Patience = field(default_factory=Patience)
    sweep_s: float = 2.0


def serve(settings: Settings, handle: Handle, how: How | None = None) -> int:
    """Serves until SIGTERM or SIGINT; returns the exit status, after a sentence on standard error where it is not 0."""
    logs.set_up(secrets=(settings.token,))
    try:
        with only_process(settings.db):
            db = open_database(settings.db)
            try:
                return asyncio.run(Service(settings, db, handle, how or How()).run())
            finally:
                db.close()
    except Held as fault:
        return _give_up(AGAIN, str(fault))
    except NewerFile as fault:
        return _give_up(SETTINGS, f"{settings.db}: {fault}")
    except (sqlite3.Error, OSError) as fault:
        return _give_up(DISK, f"{settings.db}: {fault_in_words(fault) or fault}.")


def _give_up(status: int, sentence: str) -> int:
    logs.event(sentence, logging.CRITICAL)
    return status


class Service:
    """The parts, and who calls whom: intake wakes the worker, the worker wakes the drain and sets the alarm."""

    def __init__(self, settings: Settings, db: Database, handle: Handle, how: How) -> None:
        self._db, self._handle, self._how = db, handle, how
        self.signs = Signs(how.now())
        self._api = Api(settings)
        self._gate = Gate(how.pace)
        self.drain = Drain(db, self._deliver, how.now, self.signs, self._gate)
        access = Access(db, self._tell, lambda: asyncio.get_running_loop().time())
        fetcher = Fetcher(settings.db.with_name(settings.db.name + ".files"), self._api.fetch)
        self.worker = Worker(db, handle, access, fetcher, how.now, self.signs, self._after)
        self.intake = Intake(db, self._api.call, how.now, self.signs, self.worker.wake)
        self.poller = Poller(
            self._api.updates, self.intake, how.now, self.signs, self.drain.network_is_back, how.patience
        )
        self.alarm = Alarm(lambda: waits.next_due(db), self._fire, how.now, how.sweep_s)
        self._told: set[asyncio.Task[Any]] = set()

    async def run(self) -> int:
        """Serves until told to stop; returns the exit status."""
        stop = asyncio.Event()
        for sign in (signal.SIGTERM, signal.SIGINT):
            asyncio.get_running_loop().add_signal_handler(sign, stop.set)
        work = asyncio.create_task(self._work())
        stopping = asyncio.create_task(stop.wait())
        try:
            await asyncio.wait({work, stopping}, return_when=asyncio.FIRST_COMPLETED)
            if work.done():
                return _status(work)
            logs.event("stopping")
            return STOPPED
        finally:
            await self._close(work, stopping)

    async def _work(self) -> None:
        """Greets, works off what was left, looks at what came due meanwhile, and only then listens."""
        await self._greet()
        while await self.worker.work_off():
            pass
        self._fire_first()
        self.alarm.start()
        async with asyncio.TaskGroup() as together:
            for part in (self.poller.run(), self.worker.run(), self.drain.run(), self._beat()):
                together.create_task(part)

    async def _greet(self) -> None:
        """Asks who the bot is until the service answers; its own updates come by polling from now on."""
        while True:
            me = await self.poller.attempt(self._hello)
            if me:
                self.worker.username = str(me.get("username", ""))
                logs.event("serving", bot=self.worker.username)
                return

    async def _hello(self) -> dict[str, Any]:
        me = await self._api.call("getMe")
        await self._api.call("deleteWebhook", drop_pending_updates=False)
        menu = [{"command": word, "description": text} for word, text in service.COMMANDS.items()]
        await self._api.call("setMyCommands", commands=menu)
        return dict(me)

    def _fire_first(self) -> None:
        now, last = self._how.now(), pulse.last(self._db, "alive")
        away = last is not None and now - last >= timedelta(seconds=AWAY_S)
        self._handle(self._db, Tick(now, last if away else None))
        self._after()

    def _fire(self, now: datetime) -> None:
        try:
            self._handle(self._db, Tick(now))
        except sqlite3.Error as fault:
            self.signs.trouble = fault_in_words(fault) or str(fault)
            raise
        self.signs.note("ticks", now)
        self.drain.wake()

    def _after(self) -> None:
        self.drain.wake()
        self.alarm.rearm()

    async def _deliver(self, call: Call) -> dict[str, Any]:
        file = {call.kind: upload(call.file)} if call.file and call.kind else {}
        return dict(await self._api.call(call.method, **call.params, **file))

    def _tell(self, chat: str, text: str) -> None:
        """A line to somebody of whom nothing is stored: sent once, or not at all."""
        task = asyncio.create_task(self._try_to_tell(chat, text))
        self._told.add(task)
        task.add_done_callback(self._told.discard)

    async def _try_to_tell(self, chat: str, text: str) -> None:
        try:
            await self._api.call("sendMessage", chat_id=int(chat), text=text, disable_notification=True)
        except Exception as fault:
            logs.event("line not sent", logging.WARNING, chat=logs.masked(chat), why=str(fault))

    async def _beat(self) -> None:
        """The sign of life from which the next start knows how long the bot was away; old updates go once a day."""
        purged = None
        while True:
            now = self._how.now()
            try:
                with writing(self._db):
                    pulse.beat(self._db, "alive", now)
                    if purged != now.date():
                        inbox.purge(self._db, now - timedelta(days=30))
                        purged = now.date()
            except sqlite3.Error as fault:
                self.signs.trouble = fault_in_words(fault) or str(fault)
            await asyncio.sleep(BEAT_S)

    async def _close(self, *tasks: asyncio.Task[Any]) -> None:
        """What is under way arrives, what is not is taken next time."""
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        await self.drain.finish(LAST_WORDS_S)
        self.alarm.stop()
        await self._api.close()


def _status(work: asyncio.Task[None]) -> int:
    fault = work.exception()
    refused = isinstance(fault, Refused) or (
        isinstance(fault, BaseExceptionGroup) and fault.subgroup(Refused) is not None
    )
    if refused:
        return _give_up(SETTINGS, "The chat service refuses the token: get a new one and set BUCKETBELL_TOKEN.")
    assert fault is not None
    logs.log.critical("the service fell", exc_info=fault)
    return 1
