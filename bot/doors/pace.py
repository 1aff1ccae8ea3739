"""How often something may happen: so many times in any stretch of so many seconds, some of them kept for the urgent."""

from __future__ import annotations

from collections import OrderedDict, deque
from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass
class Window:
    """At most `limit` in any `seconds`; what is not urgent must leave `spare` of them free."""

    limit: int
    seconds: float
    spare: int = 0
    _taken: deque[float] = field(default_factory=deque)

    def wait(self, now: float, urgent: bool = False) -> float:
        """Seconds until one more may happen; 0 for now."""
        while self._taken and self._taken[0] <= now - self.seconds:
            self._taken.popleft()
        most = self.limit if urgent else self.limit - self.spare
        short = len(self._taken) - most
        return self._taken[short] + self.seconds - now if short >= 0 else 0.0

    def take(self, now: float) -> None:
        """One happened."""
        self._taken.append(now)


@dataclass
class Windows:
    """A Window for each name; those not used for the longest are forgotten when there are too many."""

    make: Callable[[str], Window]
    most: int = 10_000
    _of: OrderedDict[str, Window] = field(default_factory=OrderedDict)

    def of(self, name: str) -> Window:
        """The window of that name."""
        window = self._of.setdefault(name, self.make(name))
        self._of.move_to_end(name)
        if len(self._of) > self.most:
            self._of.popitem(last=False)
        return window

    def allows(self, name: str, now: float) -> bool:
        """Takes one where it may happen now; False where it may not."""
        window = self.of(name)
        if window.wait(now) > 0:
            return False
        window.take(now)
        return True


@dataclass(frozen=True)
class Pace:
    """The service's published limits: about 30 messages a second in all, 20 a minute in a group, and about one a
    second in a private chat, of which short bursts pass (platform notes 1.4)."""

    overall: tuple[int, float, int] = (30, 1.05, 5)
    private: tuple[int, float, int] = (4, 4.0, 1)
    group: tuple[int, float, int] = (20, 61.0, 5)


PUBLISHED = Pace()
UNPACED = Pace((10**9, 1.0, 0), (10**9, 1.0, 0), (10**9, 1.0, 0))


class Gate:
    """Lets messages to chats pass at a pace."""

    def __init__(self, pace: Pace = PUBLISHED) -> None:
        self._overall = Window(*pace.overall)
        self._chats = Windows(lambda number: Window(*(pace.group if number.startswith("-") else pace.private)))

    def wait(self, number: str, now: float, urgent: bool = False) -> float:
        """Seconds until a message to that chat may go."""
        return max(self._overall.wait(now, urgent), self._chats.of(number).wait(now, urgent))

    def take(self, number: str, now: float) -> None:
        """A message to that chat goes now."""
        self._overall.take(now)
        self._chats.of(number).take(now)
