"""What passes any door: happenings that come in, and messages that go out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Incoming:
    """A new message. `ref` is the door's own number of it in `chat`; `sent_at` when it was written, if known; `live`
    where it cannot have waited for a signal; `heard` where the text was heard in the voice note `file`."""

    at: datetime
    who: str
    chat: str
    text: str
    ref: str
    reply_to: str | None = None
    sent_at: datetime | None = None
    photo: str | None = None
    file: str | None = None
    topic: str | None = None
    group: bool = False
    live: bool = False
    heard: bool = False


@dataclass(frozen=True)
class Edited:
    """The new text of the message that came as `ref` in `chat`."""

    at: datetime
    who: str
    chat: str
    text: str
    ref: str


@dataclass(frozen=True)
class Pressed:
    """A button pressed under a message of the bot; `data` is what it carries, `ref` the message that shows it."""

    at: datetime
    who: str
    chat: str
    data: str
    ref: str | None = None


@dataclass(frozen=True)
class Tick:
    """Time has passed: look for what is due.

    The first one after the bot was down says since when (`down_since`) and how many messages wait (`waiting`).
    """

    at: datetime
    down_since: datetime | None = None
    waiting: int = 0


Happening = Incoming | Edited | Pressed | Tick


@dataclass(frozen=True)
class Button:
    """`label` is what the thumb sees (18 characters at most), `data` what comes back (64 bytes at most)."""

    label: str
    data: str


@dataclass(frozen=True)
class Outgoing:
    """A message to `to` (a chat). `unasked`: no answer to what that person just said; `sound`: with a notification.

    lasts_min  taken out of the chat again after so many minutes, where the service lets us (None: it stays)
    """

    to: str
    text: str
    buttons: tuple[Button, ...] = ()
    files: tuple[str, ...] = ()
    unasked: bool = False
    sound: bool = False
    topic: str | None = None
    reply_to: str | None = None
    lasts_min: float | None = None
