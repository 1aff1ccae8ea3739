"""Empties the outbox: urgent before plain, each chat in order, at the service's pace; crossed off when delivered."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import random
import sqlite3
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta
from typing import Any

from sqlite_utils import Database

from bot.doors import logs
from bot.doors.pace import Gate
from bot.doors.send import Call, Verdict, calls, verdict
from bot.doors.signs import Signs
from bot.doors.translate import reference
from bot.messages import Outgoing
from bot.store import outbox
from bot.store.accounts import moved, number_of
from bot.store.database import epoch, instant, rows, writing
from bot.store.faults import fault_in_words

LONGEST_DELAY_S = 60.0
# How many messages may be on their way at a time. Whatever is on its way when the process is killed may come twice, so
# plain ones go one by one; one that takes longer than a moment holds up nobody.
ONE_BY_ONE, ABREAST, MOMENT_S = 1, 4, 1.0
Sender = Callable[[Call], Awaitable[dict[str, Any]]]
Ready = Callable[[Outgoing, str], Awaitable[Outgoing]]


class Drain:
    """Delivers what stands in the outbox. `sender` makes one call and returns the service's message; `ready` draws what
    a message for the chat of that number is to carry."""

    def __init__(
        self, db: Database, sender: Sender, now: Callable[[], datetime], signs: Signs, gate: Gate,
        ready: Ready | None = None,
    ) -> None:  # fmt: skip
        self._db, self._sender, self._now, self._signs, self._gate = db, sender, now, signs, gate
        self._ready = ready or _as_it_is
        self._awake = asyncio.Event()
        self._on_their_way: dict[str, asyncio.Task[None]] = {}
        self._left_at: dict[str, float] = {}
        self._paused: dict[str, float] = {}
        self._parts_sent: dict[int, list[str]] = {}
        self._unnoted: dict[int, str] = {}

    def wake(self) -> None:
        """There is something new in the outbox."""
        self._awake.set()

    def network_is_back(self) -> None:
        """What was put off because nothing got through goes now."""
        with writing(self._db):
            outbox.try_at_once(self._db)
        self.wake()

    async def run(self) -> None:
        """Delivers until cancelled."""
        while True:
            self._awake.clear()
            try:
                wait = self._start_what_may_go()
            except sqlite3.Error as fault:
                logs.event("outbox cannot be read", logging.ERROR, why=str(fault))
                wait = 1.0
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(wait):
                    await self._awake.wait()

    async def finish(self, seconds: float) -> None:
        """Lets what is on its way arrive, for so long at most."""
        if self._on_their_way:
            await asyncio.wait(self._on_their_way.values(), timeout=seconds)

    def _start_what_may_go(self) -> float | None:
        """Starts every delivery that may go now; returns the seconds until the next one may, None for no such."""
        self._note_delivered()
        waits = []
        for row in outbox.heads(self._db):
            crowded = self._crowded(bool(row["urgent"]))
            if crowded > 0:
                waits.append(crowded)
                if not row["urgent"]:
                    break
            elif row["chat"] not in self._on_their_way and row["id"] not in self._unnoted:
                number = number_of(self._db, row["chat"])
                wait = self._start(row, number) if number else self._park(row, "no account of that name is known")
                waits.append(wait)
        return min((w for w in waits if w > 0), default=1.0 if self._unnoted else None)

    def _start(self, row: dict[str, Any], number: str) -> float:
        clock = asyncio.get_running_loop().time()
        put_off = (instant(row["next_try_at"]) - self._now()).total_seconds() if row["next_try_at"] else 0.0
        paused = self._paused.get(number, 0.0) - clock
        wait = max(put_off, paused, self._gate.wait(number, clock, bool(row["urgent"])))
        if wait <= 0:
            self._gate.take(number, clock)
            self._left_at[row["chat"]] = clock
            self._on_their_way[row["chat"]] = asyncio.create_task(self._deliver(row, number))
        return wait

    def _crowded(self, urgent: bool) -> float:
        """Seconds until there is room for one more on the way, if nothing arrives before; 0 for now."""
        clock = asyncio.get_running_loop().time()
        young = sorted(left for left in self._left_at.values() if left > clock - MOMENT_S)
        most = ABREAST if urgent else ONE_BY_ONE
        return young[-most] + MOMENT_S - clock if len(young) >= most else 0.0

    async def _deliver(self, row: dict[str, Any], number: str) -> None:
        try:
            ref = await self._send(row, number)
        except Exception as error:
            self._judge(row, number, error)
        else:
            self._delivered(row, ref)
        finally:
            self._on_their_way.pop(row["chat"], None)
            self._left_at.pop(row["chat"], None)
            self.wake()

    async def _send(self, row: dict[str, Any], number: str) -> str:
        """Sends what of the message is not yet sent; returns the reference of the part that shows its buttons."""
        todo = calls(await self._ready(outbox.as_outgoing(row), number), number, self._tanks())
        done = self._parts_sent.setdefault(row["id"], [])
        for call in todo[len(done) :]:
            answer = await self._sender(call)
            done.append(reference(answer["chat"]["id"], answer["message_id"]))
        words = [ref for call, ref in zip(todo, done, strict=True) if call.kind is None]
        return (words or done)[-1] if done else ""

    def _delivered(self, row: dict[str, Any], ref: str) -> None:
        self._parts_sent.pop(row["id"], None)
        self._unnoted[row["id"]] = ref
        now = self._now()
        self._signs.note("sent", now)
        if row["urgent"]:
            self._signs.note("pings", now)
            self._signs.late(epoch(now) - row["created_at"])
        self._note_delivered()

    def _note_delivered(self) -> None:
        """Crosses off; where the disk refuses, the message is remembered here and not sent a second time."""
        try:
            for row_id, ref in list(self._unnoted.items()):
                with writing(self._db):
                    outbox.crossed_off(self._db, row_id, self._now(), ref or None)
                del self._unnoted[row_id]
        except sqlite3.Error as fault:
            self._signs.trouble = fault_in_words(fault) or str(fault)
            logs.event("delivery cannot be noted", logging.ERROR, why=str(fault))

    def _judge(self, row: dict[str, Any], number: str, error: Exception) -> None:
        found = verdict(error)
        self._signs.note(f"send_{found.what}", self._now())
        logs.event(
            "not sent", logging.WARNING, row=row["id"], chat=logs.masked(number), verdict=found.what, why=str(error)
        )
        try:
            with writing(self._db):
                self._act(row, number, found)
        except sqlite3.Error as fault:
            self._paused[number] = asyncio.get_running_loop().time() + 1.0
            logs.event("outbox cannot be written", logging.ERROR, why=str(fault))

    def _act(self, row: dict[str, Any], number: str, found: Verdict) -> None:
        match found.what:
            case "delivered":
                outbox.crossed_off(self._db, row["id"], self._now())
            case "moved":
                moved(self._db, row["chat"], found.text, self._now())
            case "topic":
                outbox.without_topic(self._db, row["id"])
            case "park":
                self._park(row, found.text)
            case _:
                self._put_off(row, number, found.seconds)

    def _put_off(self, row: dict[str, Any], number: str, seconds: float | None) -> None:
        if seconds is not None:
            self._paused[number] = asyncio.get_running_loop().time() + seconds
        delay = seconds if seconds is not None else min(LONGEST_DELAY_S, 2.0 ** row["tries"]) * random.uniform(0.5, 1.0)
        outbox.put_off(self._db, row["id"], self._now() + timedelta(seconds=delay))

    def _park(self, row: dict[str, Any], why: str) -> float:
        with writing(self._db):
            outbox.park(self._db, row["id"], why)
        self._parts_sent.pop(row["id"], None)
        self.wake()
        return 0.0

    def _tanks(self) -> list[str]:
        return [r["name"] for r in rows(self._db, "select name from roster where kind = 'tank' and active = 1")]


async def _as_it_is(message: Outgoing, number: str) -> Outgoing:
    return message
