"""The alarm, with short real waits: one job for the next due moment, and a look that a moved clock cannot escape."""

import asyncio
from datetime import UTC, datetime, timedelta

from bot.doors.alarm import NEXT_DUE, Alarm


class Table:
    """What is due, and a clock that can be moved."""

    def __init__(self):
        self.due, self.fired, self.shift = [], [], timedelta()

    def now(self):
        return datetime.now(UTC) + self.shift

    def next_due(self):
        return min(self.due, default=None)

    def fire(self, now):
        self.fired += [(d, now) for d in self.due if d <= now]
        self.due = [d for d in self.due if d > now]


def run(act, sweep_s=0.3):
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


def late(table):
    return [(now - due).total_seconds() for due, now in table.fired]


def test_what_is_due_fires_at_its_moment_and_once():
    async def act(table, alarm):
        table.due = [table.now() + timedelta(seconds=s) for s in (0.35, 0.36, 0.7)]
        alarm.rearm()
        await asyncio.sleep(1.1)

    table = run(act, sweep_s=5)
    assert len(table.fired) == 3 and max(late(table)) < 0.15


def test_moments_a_millisecond_apart_do_not_wait_for_the_sweep():
    async def act(table, alarm):
        first = table.now() + timedelta(seconds=0.3)
        table.due = [first + timedelta(milliseconds=n) for n in range(40)]
        alarm.rearm()
        await asyncio.sleep(0.8)

    table = run(act, sweep_s=5)
    assert len(table.fired) == 40 and max(late(table)) < 0.2


def test_an_earlier_moment_takes_the_place_of_the_one_waited_for():
    async def act(table, alarm):
        table.due = [table.now() + timedelta(seconds=60)]
        alarm.rearm()
        table.due.append(table.now() + timedelta(seconds=0.2))
        alarm.rearm()
        assert len([j for j in alarm._scheduler.get_jobs() if j.id == NEXT_DUE]) == 1
        await asyncio.sleep(0.5)

    assert len(run(act, sweep_s=5).fired) == 1


def test_a_clock_moved_forward_is_noticed_by_the_sweep():
    async def act(table, alarm):
        table.due = [table.now() + timedelta(hours=1)]
        alarm.rearm()
        table.shift = timedelta(hours=2)
        await asyncio.sleep(0.5)

    assert len(run(act).fired) == 1


def test_a_clock_moved_back_does_not_ring_early():
    async def act(table, alarm):
        table.due = [table.now() + timedelta(seconds=0.3)]
        alarm.rearm()
        table.shift = -timedelta(hours=1)
        await asyncio.sleep(0.8)

    assert run(act).fired == []


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
        await asyncio.sleep(1.1)

    assert len(run(act, sweep_s=0.2).fired) == 1
    assert len(tries) == 3


def test_what_stays_due_does_not_spin():
    calls = []

    async def act(table, alarm):
        alarm._fire = calls.append
        table.due = [table.now()]
        alarm.rearm()
        await asyncio.sleep(1.0)

    run(act, sweep_s=0.2)
    assert 1 <= len(calls) <= 8


def test_a_loop_that_was_blocked_over_the_moment_still_fires():
    async def act(table, alarm):
        import time

        table.due = [table.now() + timedelta(seconds=0.2)]
        alarm.rearm()
        await asyncio.sleep(0.05)
        time.sleep(1.5)
        await asyncio.sleep(0.3)

    assert len(run(act, sweep_s=5).fired) == 1
