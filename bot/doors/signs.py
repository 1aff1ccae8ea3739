"""What the running service counts: for the health answer, the counters, and whoever asks how it is."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass, field
from datetime import datetime


@dataclass
class Signs:
    """Counts since the start, when each thing last happened, and how late the last thousand pings left."""

    started: datetime
    counts: Counter[str] = field(default_factory=Counter)
    moments: dict[str, datetime] = field(default_factory=dict)
    lateness_s: deque[float] = field(default_factory=lambda: deque(maxlen=1000))
    trouble: str | None = None
    network_down: bool = False

    def note(self, what: str, at: datetime, times: int = 1) -> None:
        """Counts `what` and notes the moment."""
        self.counts[what] += times
        self.moments[what] = at

    def late(self, seconds: float) -> None:
        """A ping left so many seconds after it was due to."""
        self.lateness_s.append(seconds)

    def age(self, what: str, now: datetime) -> float:
        """Seconds since `what` last happened, or since the start."""
        return (now - self.moments.get(what, self.started)).total_seconds()
