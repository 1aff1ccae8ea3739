"""Works the inbox off: each chat in order, everything that one update causes in one transaction with its number."""

from __future__ import annotations

import asyncio
import logging
import sqlite3
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from bot.doors import logs
from bot.doors.access import Access
from bot.doors.fetch import Fetched, Fetcher
from bot.doors.hear import Transcriber
from bot.doors.signs import Signs
from bot.doors.translate import Arrival, Attachment, arrival, happening, sender_number
from bot.messages import Happening, Outgoing
from bot.rules.codes import masked
from bot.store import accounts, inbox, outbox
from bot.store.database import writing
from bot.store.faults import fault_in_words
from bot.wording import service

Handle = Callable[[Database, Happening], object]


class Worker:
    """Takes updates out of the inbox; `after` is called when something may stand in the outbox or a wait may be new."""

    def __init__(
        self, db: Database, handle: Handle, access: Access, fetcher: Fetcher, now: Callable[[], datetime],
        signs: Signs, after: Callable[[], None], transcriber: Transcriber | None = None,
    ) -> None:  # fmt: skip
        self._db, self._handle, self._access, self._fetcher = db, handle, access, fetcher
        self._transcriber = transcriber or Transcriber(())
        self._now, self._signs, self._after = now, signs, after
        self.username = ""
        self._awake = asyncio.Event()
        self._fetching: dict[str, asyncio.Task[None]] = {}

    def wake(self) -> None:
        """There is something new in the inbox."""
        self._awake.set()

    async def run(self) -> None:
        """Works until cancelled; a disk that refuses is waited for, and nothing is skipped."""
        while True:
            self._awake.clear()
            try:
                worked = await self.work_off()
            except sqlite3.Error as fault:
                self._signs.trouble = fault_in_words(fault) or str(fault)
                logs.event("inbox cannot be worked off", logging.ERROR, why=str(fault))
                await asyncio.sleep(1.0)
                continue
            if not worked:
                await self._awake.wait()

    async def work_off(self) -> int:
        """Works off what stands there now, chats in turns; returns how many updates were done."""
        done = 0
        for row in inbox.next_in_each_chat(self._db):
            if row["chat"] not in self._fetching and self._begin(row):
                done += 1
                await asyncio.sleep(0)
        return done

    def _begin(self, row: dict[str, Any]) -> bool:
        """Works a row off, or starts to fetch what it carries; whether it is done."""
        arrived, fault = self._read(row)
        if arrived and arrived.attachment and arrived.kind == "message" and self._access.person(arrived):
            self._fetching[row["chat"]] = asyncio.create_task(self._fetch(row, arrived))
            return False
        self._settle(row, arrived, fault)
        return True

    def _read(self, row: dict[str, Any]) -> tuple[Arrival | None, Exception | None]:
        try:
            return arrival(row["raw"], self.username), None
        except Exception as fault:
            return None, fault

    async def _fetch(self, row: dict[str, Any], arrived: Arrival) -> None:
        assert arrived.attachment is not None
        try:
            fetched = await self._fetcher.fetch(arrived.attachment, row["id"], self._now())
            self._settle(row, arrived, None, await self._heard(arrived.attachment, fetched))
        except sqlite3.Error as fault:
            self._signs.trouble = fault_in_words(fault) or str(fault)
            await asyncio.sleep(1.0)
        finally:
            self._fetching.pop(row["chat"], None)
            self.wake()

    async def _heard(self, attachment: Attachment, fetched: Fetched) -> Fetched:
        """With the words of a voice note."""
        if not attachment.is_voice or fetched.path is None:
            return fetched
        heard = await self._transcriber.hear(fetched.path)
        return replace(fetched, heard=heard.text, sentence=heard.sentence)

    def _settle(
        self, row: dict[str, Any], arrived: Arrival | None, fault: Exception | None, fetched: Fetched | None = None
    ) -> None:
        """Everything that the update causes, and its number, in one transaction; a faulty one is set aside whole."""
        began, outcome = time.perf_counter(), "nothing to answer"
        now = self._now()
        try:
            if fault:
                raise fault
            with writing(self._db):
                if arrived:
                    outcome = self._apply(row, arrived, now, fetched)
                inbox.worked_off(self._db, row["id"], now)
        except Exception as error:
            if fault_in_words(error):
                raise
            outcome = self._set_aside(row, arrived, error, now)
        self._signs.note("worked_off", now)
        took = round((time.perf_counter() - began) * 1000, 1)
        logs.event("update", update=row["update_id"], chat=logs.masked(row["chat"]), outcome=outcome, ms=took)
        self._after()

    def _apply(self, row: dict[str, Any], arrived: Arrival, now: datetime, fetched: Fetched | None) -> str:
        if arrived.kind == "moved":
            accounts.moved(self._db, accounts.chat_of(self._db, arrived.chat), arrived.text, now)
            return "group moved"
        person = self._access.person(arrived)
        if person is None:
            self._access.stranger(arrived, now)
            inbox.blank(self._db, row["id"])
            return "stranger"
        if self._access.code_of_member(arrived, person, now):
            inbox.blank(self._db, row["id"])
            return "code of somebody else"
        self._hand_over(row["id"], arrived, person, now, fetched)
        return arrived.kind

    def _hand_over(self, row_id: int, arrived: Arrival, person: str, now: datetime, fetched: Fetched | None) -> None:
        """To the desk; what only the service knows (a file that never came, a kind nobody reads) is said beside it."""
        chat = person if arrived.private else accounts.chat_of(self._db, arrived.chat)
        path = str(fetched.path) if fetched and fetched.path else None
        is_photo = bool(arrived.attachment and arrived.attachment.is_photo)
        photo, file = (path, None) if is_photo else (None, path)
        heard = fetched.heard if fetched and arrived.attachment and arrived.attachment.is_voice else None
        if arrived.text or heard or (path and heard is None):
            self._handle(self._db, happening(arrived, person, chat, now, photo, file, heard or None))
        if arrived.text and masked(arrived.text).codes:
            inbox.blank(self._db, row_id)
        for sentence in _remarks(arrived, fetched):
            said = Outgoing(chat, sentence, topic=arrived.topic, reply_to=arrived.ref)
            outbox.post(self._db, said, now)

    def _set_aside(self, row: dict[str, Any], arrived: Arrival | None, error: Exception, now: datetime) -> str:
        """Out of the way of the rest, kept with its error; whoever wrote it is told that nothing of it is stored."""
        logs.log.error("update set aside", exc_info=error, extra={"more": {"update": row["update_id"]}})
        with writing(self._db):
            inbox.set_aside(self._db, row["id"], now, f"{type(error).__name__}: {error}"[:2000])
            person = accounts.person_of(self._db, sender_number(row["raw"]))
            if person is None:
                inbox.blank(self._db, row["id"])
            else:
                chat = accounts.chat_of(self._db, row["chat"]) if row["chat"].startswith("-") else person
                reply_to = arrived.ref if arrived else None
                outbox.post(self._db, Outgoing(chat, service.set_aside(row["id"]), reply_to=reply_to), now)
        self._signs.note("set_aside", now)
        return "set aside"


def _remarks(arrived: Arrival, fetched: Fetched | None) -> list[str]:
    unread = [service.unread(arrived.unread)] if arrived.unread else []
    return unread + ([fetched.sentence] if fetched and fetched.sentence else [])
