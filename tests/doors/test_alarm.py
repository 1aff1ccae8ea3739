"""The alarm, with short real waits: one job for the next due moment, and a look that a moved clock cannot escape.

Nothing here asks how fast: what must happen is waited for, and where the sweep must not help, it comes in an hour.
"""

import asyncio
import time
from datetime import UTC, datetime, timedelta

from bot.doors.alarm import NEXT_DUE, Alarm

HOUR_S, PATIENCE_S = 3600.0, 90.0


class Table:
    """What is due, and a clock that can be moved."""

    def __init__(self):
        self.due, self.fired, self.shift, self.since = [], [], timedelta(), time.monotonic()

    def now(self):
        return datetime.now(UTC) + self.shift

    def in_s(self, seconds):
        return self.now() + timedelta(seconds=seconds)

    def next_due(self):
        return min(self.due, default=None)

    def fire(self, now):
        self.fired += [(d, now) for d in self.due if d <= now]
        self.due = [d for d in self.due if d > now]

    async def have_fired(self, count):
        async with asyncio.timeout(PATIENCE_S):
            while len(self.fired) < count:
                await asyncio.sleep(0.01)


def run(act, sweep_s=HOUR_S):
    table = Table()

    async def play():
        alarm = Alarm(table.next_due, table.fire, table.now, sweep_s)
        alarm.start()
        try:
            await act(table, alarm)
        finally:
            alarm.stop()

    asyncio.run(play())
    return table


def test_what_is_due_fires_at_its_moment_and_once():
    async def act(table, alarm):
        table.due = [table.in_s(s) for s in (0.35, 0.36, 0.7)]
        alarm.rearm()
        await table.have_fired(3)

    table = run(act)
    assert len(table.fired) == 3 and all(due <= now for due, now in table.fired)


def test_moments_a_millisecond_apart_do_not_wait_for_the_sweep():
    async def act(table, alarm):
        first = table.in_s(0.3)
        table.due = [first + timedelta(milliseconds=n) for n in range(40)]
        alarm.rearm()
        await table.have_fired(40)

    assert len(run(act).fired) == 40


def test_an_earlier_moment_takes_the_place_of_the_one_waited_for():
    async def act(table, alarm):
        table.due = [table.in_s(HOUR_S)]
        alarm.rearm()
        table.due.append(table.in_s(0.2))
        alarm.rearm()
        assert len([j for j in alarm._scheduler.get_jobs() if j.id == NEXT_DUE]) == 1
        await table.have_fired(1)

    assert len(run(act).due) == 1


def test_a_clock_moved_forward_is_noticed_by_the_sweep():
    async def act(table, alarm):
        table.due = [table.in_s(HOUR_S)]
        alarm.rearm()
        table.shift = timedelta(hours=2)
        await table.have_fired(1)

    assert len(run(act, sweep_s=0.3).fired) == 1


def test_a_clock_moved_back_does_not_ring_early():
    async def act(table, alarm):
        table.due = [table.in_s(0.3)]
        alarm.rearm()
        table.shift = -timedelta(hours=1)
        while alarm.looked_at is None or alarm.looked_at > table.due[0] - timedelta(minutes=30):
            await asyncio.sleep(0.01)

    assert run(act, sweep_s=0.3).fired == []


def test_a_fault_while_firing_is_tried_again_and_not_in_a_tight_loop():
    tries = []

    async def act(table, alarm):
        def fire(now):
            tries.append(now)
            if len(tries) < 3:
                raise ValueError("not yet")
            Table.fire(table, now)

        alarm._fire = fire
        table.due = [table.now()]
        alarm.rearm()
        await table.have_fired(1)

    run(act, sweep_s=0.2)
    assert len(tries) == 3


def test_what_stays_due_does_not_spin():
    calls = []

    async def act(table, alarm):
        alarm._fire = calls.append
        table.due = [table.now()]
        alarm.rearm()
        while len(calls) < 4:
            await asyncio.sleep(0.01)
        assert time.monotonic() - table.since >= 0.6

    run(act, sweep_s=0.2)


def test_a_loop_that_was_blocked_over_the_moment_still_fires():
    async def act(table, alarm):
        table.due = [table.in_s(0.2)]
        alarm.rearm()
        await asyncio.sleep(0.05)
        time.sleep(1.5)
        await table.have_fired(1)

    assert len(run(act).fired) == 1
