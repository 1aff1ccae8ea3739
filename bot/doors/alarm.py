"""One alarm for whatever is due next, and a look every two seconds that a moved clock cannot escape."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler

from bot.doors import logs

NEXT_DUE, SWEEP, SWEEP_S = "next due", "sweep", 2.0
# The scheduler throws a run away while an earlier one of the same job is not yet counted as over, and a look sets the
# job anew while it runs: with 1 the next moment, a few milliseconds later, would wait for the sweep.
AT_ONCE = 100


class Alarm:
    """Calls `fire(now)` when something is due by `now`.

    The table behind `next_due` is the truth; the scheduler holds nothing but "look again at <next due>". `rate` is how
    many seconds `now` goes on in a second (more than 1 only where days are simulated).
    """

    def __init__(
        self, next_due: Callable[[], datetime | None], fire: Callable[[datetime], None], now: Callable[[], datetime],
        sweep_s: float = SWEEP_S, rate: float = 1.0,
    ) -> None:  # fmt: skip
        self._next_due, self._fire, self._now, self._sweep_s, self._rate = next_due, fire, now, sweep_s, rate
        self._scheduler = AsyncIOScheduler(timezone=UTC)
        self._armed_for: datetime | None = None
        self.looked_at: datetime | None = None

    def start(self) -> None:
        """Begins to look, in the running loop."""
        lasting = {"misfire_grace_time": None, "coalesce": True, "max_instances": 1, "replace_existing": True}
        self._scheduler.add_job(self._look, "interval", seconds=self._sweep_s, id=SWEEP, **lasting)
        self._scheduler.start()
        self.rearm()

    def stop(self) -> None:
        """Looks no more."""
        if self._scheduler.running:
            self._scheduler.shutdown(wait=False)

    def rearm(self) -> None:
        """To be called after every happening: the next due moment may be another one now."""
        due = self._next_due()
        if due == self._armed_for:
            return
        self._armed_for = due
        if due is None:
            if self._scheduler.get_job(NEXT_DUE):
                self._scheduler.remove_job(NEXT_DUE)
            return
        wait = max(due - self._now(), timedelta()) / self._rate
        self._scheduler.add_job(
            self._look, "date", run_date=datetime.now(UTC) + wait, id=NEXT_DUE, misfire_grace_time=None,
            coalesce=True, max_instances=AT_ONCE, replace_existing=True,
        )  # fmt: skip

    async def _look(self) -> None:
        """Fires if something is due. Where it stays due (a fault), the sweep tries again, not a tight loop."""
        now = self._now()
        self.looked_at = now
        try:
            due = self._next_due()
            if due is not None and due <= now:
                self._fire(now)
                self._armed_for = due if self._next_due() == due else None
            elif due is not None and self._armed_for is not None:
                self._armed_for = None
            self.rearm()
        except Exception:
            logs.log.exception("what is due could not be worked off")
