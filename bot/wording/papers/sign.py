"""B3, the sign on the glass: what must not be touched, until when, and whom to call. Read from the door."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.wording.papers.page import Page

_LEFT = 18.0


@dataclass(frozen=True)
class Sign:
    """`order` in capitals, `said` below it; `signed`: who, the number, when it was written."""

    order: str
    said: str
    signed: str
    tank: str


def pdf(sign: Sign, size: str, at: datetime) -> bytes:
    """A page to be put on the glass."""
    page = Page(size, sign.order, at)
    page.turn()
    room = page.width - 2 * _LEFT
    page.box(8, 8, page.width - 16, page.height - 16, edge=0, line=3)
    y = page.paragraph(_LEFT, 62, sign.order, room, page.fitting(sign.order, room, 80, 58, bold=True), bold=True)
    y = page.paragraph(_LEFT, y + 8, sign.said, room, page.fitting(sign.said, room, 70, 32))
    page.paragraph(_LEFT, max(y + 14, page.height - 62), sign.signed, room, 26, bold=True)
    page.words(_LEFT, page.height - 20, sign.tank, page.fitting(sign.tank, room, 7, 14), room=room)
    return page.bytes()
