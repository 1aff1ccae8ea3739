"""The chat service's door: takes in, works off, delivers, and looks at the clock, until it is told to stop."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import sqlite3
from collections.abc import Callable, Coroutine, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from sqlite_utils import Database
from telegram.error import TelegramError

from bot.assistant.due import next_moment
from bot.doors import drawn, logs, web
from bot.doors.access import Access
from bot.doors.alarm import Alarm
from bot.doors.api import UPDATES, Api, upload
from bot.doors.drain import Drain
from bot.doors.fetch import Fetcher
from bot.doors.hear import Transcriber
from bot.doors.housekeeping import Housekeeping
from bot.doors.intake import Intake
from bot.doors.lock import Held, only_process
from bot.doors.pace import PUBLISHED, Gate, Pace
from bot.doors.pinning import Pinner
from bot.doors.poll import Patience, Poller, Refused
from bot.doors.removing import Remover
from bot.doors.send import Call
from bot.doors.settings import Settings
from bot.doors.signs import Signs
from bot.doors.watch import Health, Page, beat, counters, health, notifier
from bot.doors.webhook import Webhook
from bot.doors.work import Handle, Worker
from bot.messages import Outgoing, Tick
from bot.store import inbox, pulse
from bot.store.database import NewerFile, open_database, writing
from bot.store.faults import fault_in_words
from bot.wording import service

# Exit statuses, so that whatever starts the service knows what is worth another try (names of sysexits).
STOPPED, DISK, AGAIN, SETTINGS = 0, 74, 75, 78
AWAY_S = 60.0  # a shorter gap is a restart, not worth a word
LAST_WORDS_S, MOST_WAITING = 5.0, 100


@dataclass(frozen=True)
class How:
    """What tests and measurements change (clock and its rate, pace, patience, sweep), and the environment."""

    now: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    pace: Pace = PUBLISHED
    patience: Patience = field(default_factory=Patience)
    sweep_s: float = 2.0
    rate: float = 1.0
    environ: Mapping[str, str] = field(default_factory=dict)


def serve(settings: Settings, handle: Handle, how: How | None = None) -> int:
    """Serves until SIGTERM or SIGINT; returns the exit status, after a sentence on standard error where it is not 0."""
    logs.set_up(secrets=(settings.token, settings.webhook_secret or ""))
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
        self._settings, self._db, self._handle, self._how = settings, db, handle, how
        self._signs = signs = Signs(how.now())
        self._api = Api(settings)
        self._told: set[asyncio.Task[Any]] = set()
        self._servers: list[asyncio.Server] = []
        self._drain = Drain(db, self._deliver, how.now, signs, Gate(how.pace), self._ready)
        access = Access(db, self._tell, lambda: asyncio.get_running_loop().time())
        fetcher = Fetcher(settings.db.with_name(settings.db.name + ".files"), self._api.fetch)
        self._worker = Worker(
            db, handle, access, fetcher, how.now, signs, self._after, Transcriber(settings.transcriber)
        )
        self._intake = Intake(db, self._api.call, how.now, signs, self._worker.wake)
        back = self._drain.network_is_back
        self._poller = Poller(self._api.updates, self._intake, how.now, signs, back, how.patience)
        self._alarm = Alarm(lambda: next_moment(db), lambda now: self._fire(Tick(now)), how.now, how.sweep_s, how.rate)
        notify = notifier(how.environ)
        self._remover = Remover(db, self._api.call, how.now)
        self._pinner = Pinner(db, self._api.call, how.now)
        self._house = Housekeeping(db, settings.db, settings.copies, signs, how.now, self._tell, notify, self._state)

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
        """Greets, takes in what waits, looks at what came due meanwhile, and only then works and listens."""
        await self._open_page()
        await self._greet()
        hears = await self._begin_to_hear()
        await self._fire_first()
        self._alarm.start()
        async with asyncio.TaskGroup() as together:
            for part in (
                *hears,
                self._worker.run,
                self._drain.run,
                self._house.run,
                self._remover.run,
                self._pinner.run,
            ):
                together.create_task(part())

    async def _open_page(self) -> None:
        if self._settings.health_port is not None:
            page = Page(self._state, lambda: counters(self._db, self._signs, self._how.now()), self._signs)
            self._servers.append(await web.listen("127.0.0.1", self._settings.health_port, page.answer))

    async def _greet(self) -> None:
        """Asks who the bot is until the service answers."""
        while True:
            me = await self._poller.attempt(self._hello)
            if me:
                self._worker.username = str(me.get("username", ""))
                with writing(self._db):
                    start = f"https://t.me/{self._worker.username}?start="
                    pulse.beat(self._db, "link", self._how.now(), start=start)
                logs.event("serving", bot=self._worker.username)
                return

    async def _hello(self) -> dict[str, Any]:
        me = await self._api.call("getMe")
        menu = [{"command": word, "description": text} for word, text in service.COMMANDS.items()]
        await self._api.call("setMyCommands", commands=menu)
        if self._settings.webhook is None:
            await self._api.call("deleteWebhook", drop_pending_updates=False)
        return dict(me)

    async def _begin_to_hear(self) -> list[Callable[[], Coroutine[Any, Any, None]]]:
        """What hears from now on, after everything that waits has been taken in."""
        if self._settings.webhook is None:
            while await self._poller.once(0) >= MOST_WAITING:
                pass
            return [self._poller.run]
        hook, path = self._settings.webhook, urlsplit(self._settings.webhook.url).path
        answer = Webhook(path, self._settings.webhook_secret or "", self._intake, self._signs).answer
        self._servers.append(await web.listen(hook.host, hook.port, answer))
        while not await self._poller.attempt(self._set_webhook):
            pass
        return []

    async def _set_webhook(self) -> Any:
        """One call at a time, so that nothing overtakes."""
        assert self._settings.webhook is not None
        return await self._api.call(
            "setWebhook", url=self._settings.webhook.url, secret_token=self._settings.webhook_secret,
            allowed_updates=UPDATES, max_connections=1, drop_pending_updates=False,
        )  # fmt: skip

    async def _fire_first(self) -> None:
        """What came due while nobody looked. A held file is waited for; any other fault is the alarm's to retry."""
        last = pulse.last(self._db, "alive")
        while True:
            now = self._how.now()
            away = last is not None and now - last >= timedelta(seconds=AWAY_S)
            tick = Tick(now, last if away else None, inbox.count_open(self._db) if away else 0)
            try:
                return self._fire(tick)
            except sqlite3.Error:
                await asyncio.sleep(1.0)
            except Exception:
                return logs.log.exception("what came due could not be worked off")

    def _fire(self, tick: Tick) -> None:
        try:
            self._handle(self._db, tick)
        except sqlite3.Error as fault:
            self._signs.trouble = fault_in_words(fault) or str(fault)
            logs.event("what is due cannot be stored", logging.ERROR, why=str(fault))
            raise
        self._signs.note("ticks", tick.at)
        self._drain.wake()

    def _after(self) -> None:
        self._drain.wake()
        self._alarm.rearm()

    def _state(self) -> Health:
        polls = self._settings.webhook is None
        return health(self._signs, self._alarm.looked_at, self._how.now(), polls, self._how.patience.poll)

    async def _deliver(self, call: Call) -> dict[str, Any]:
        file = {call.kind: upload(call.file)} if call.file and call.kind else {}
        return dict(await self._api.call(call.method, **call.params, **file))

    async def _ready(self, message: Outgoing, number: str) -> Outgoing:
        """What a message is to carry is drawn in a thread, while the chat shows that something is coming."""
        if not drawn.is_drawn(message.files):
            return message
        with contextlib.suppress(TelegramError):
            await self._api.call("sendChatAction", chat_id=int(number), action="upload_photo")
        return await asyncio.to_thread(drawn.ready_apart, self._settings.db, message)

    def _tell(self, number: str, text: str) -> None:
        """A line past the outbox (nothing of a stranger is stored, or nothing can be): sent once, or not at all."""
        task = asyncio.create_task(self._try_to_tell(number, text))
        self._told.add(task)
        task.add_done_callback(self._told.discard)

    async def _try_to_tell(self, number: str, text: str) -> None:
        try:
            await self._api.call("sendMessage", chat_id=int(number), text=text, disable_notification=True)
        except Exception as fault:
            logs.event("line not sent", logging.WARNING, chat=logs.masked(number), why=str(fault))

    async def _close(self, *tasks: asyncio.Task[Any]) -> None:
        """What is under way arrives, what is not is taken next time."""
        for task in tasks:
            task.cancel()
        await asyncio.wait(tasks, timeout=LAST_WORDS_S)
        await self._drain.finish(LAST_WORDS_S)
        self._alarm.stop()
        for server in self._servers:
            server.close()
        beat(self._db, self._signs, self._how.now(), Health(False, "stopped"))
        await self._api.close()


def _status(work: asyncio.Task[None]) -> int:
    fault = work.exception()
    if isinstance(fault, Refused) or (isinstance(fault, BaseExceptionGroup) and fault.subgroup(Refused)):
        return _give_up(SETTINGS, "The chat service refuses the token: get a new one and set BUCKETBELL_TOKEN.")
    logs.log.critical("the service fell", exc_info=fault)
    return 1
