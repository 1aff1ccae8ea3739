"""B5, the visit on paper for where no phone works: the order of the chat, so that it is typed back in one message."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.wording.papers.page import Page
from bot.wording.pictures.scene import DARK, MID

_LEFT, _STEP = 15.0, 8.6


@dataclass(frozen=True)
class Visit:
    """What is printed on the sheet beforehand: the tank, its code, the short names of its usual tests."""

    tank: str
    code: str
    tests: Sequence[str]


def pdf(visits: Sequence[Visit], size: str, at: datetime) -> bytes:
    """One page a tank."""
    page = Page(size, "Visit sheets", at)
    for visit in visits:
        page.turn()
        _visit(page, visit)
    return page.bytes()


def _visit(page: Page, visit: Visit) -> None:
    told = table("papers")["visit"]
    right = page.width - _LEFT
    page.words(_LEFT, 20, visit.tank, 17, bold=True, room=right - _LEFT - 25)
    page.words(right, 20, visit.code, 17, bold=True, at="r")
    y = _blanks(page, 30, ("date", 26), ("name", 40), (f"here {visit.code or '____'}, time", 22))
    y = _grid(page, y + 3, ["time", *visit.tests, "other test"], told["rows"])
    y = _blanks(page, y + 5, ("change time", 20), ("water change %", 16), ("from vat", 22), ("top-off", 22))
    y = _ticks(page, y + 3, told["done"])
    y = _blanks(page, y + 3, ("added, how many and what", 52), ("lost, how many and what", 40))
    y = _blanks(page, y + 1, ("dosed what", 40), ("how much", 22), ("time", 18), ("reading before", 24))
    y = _grid(
        page,
        y + 3,
        ["what waits (net in bleach, bag ...)", "in at", "out at", "checked: smell, strip, match"],
        told["waits"],
    )
    y = _lines(page, y + 5, "Jobs and notes (the chat does not pass notes on to the client)", 3)
    y = _blanks(page, y + 2, ("pumps and heater on, flow seen: time", 22), ("leaving, time", 22))
    example = f"catch up {visit.code or visit.tank}: 10:05 78.4 ph 8.2, 10:20 20% wc, leaving 10:58"
    said = f'Type it in one message, each entry with its time: "{example}"'
    page.paragraph(_LEFT, y + 5, said, right - _LEFT, 9.5, ink=DARK)


def _blanks(page: Page, y: float, *fields: tuple[str, float]) -> float:
    """Words with a line to write on behind each; what does not fit stands in the next row."""
    x = _LEFT
    for name, width in fields:
        from bot.wording.pictures.letters import width_of

        need = width_of(name, 10 * 0.3528) + 2 + width
        if x > _LEFT and x + need > page.width - _LEFT:
            x, y = _LEFT, y + _STEP
        page.words(x, y, name, 10)
        page.line([(x + need - width, y + 0.6), (x + need, y + 0.6)], 0.2, MID)
        x += need + 5
    return y + _STEP


def _grid(page: Page, y: float, heads: Sequence[str], rows: int) -> float:
    """A table to write into."""
    wide = [2.4 if len(head) > 18 else 1.0 for head in heads]
    room, x = page.width - 2 * _LEFT, _LEFT
    for head, share in zip(heads, wide, strict=True):
        width = room * share / sum(wide)
        page.words(x + 1, y, head, 9, bold=True, room=width - 2)
        for row in range(rows):
            page.box(x, y + 1.5 + row * _STEP, width, _STEP, edge=MID)
        x += width
    return y + 1.5 + rows * _STEP + 3


def _ticks(page: Page, y: float, names: Sequence[str]) -> float:
    """Boxes to tick."""
    from bot.wording.pictures.letters import width_of

    x = _LEFT
    for name in names:
        need = 5 + width_of(name, 10 * 0.3528) + 5
        if x + need > page.width - _LEFT:
            x, y = _LEFT, y + _STEP
        page.box(x, y - 3, 3.4, 3.4, edge=0)
        page.words(x + 5, y, name, 10)
        x += need
    return y + _STEP


def _lines(page: Page, y: float, head: str, count: int) -> float:
    page.words(_LEFT, y, head, 9, bold=True)
    for _ in range(count):
        y += _STEP
        page.line([(_LEFT, y), (page.width - _LEFT, y)], 0.2, MID)
    return y + _STEP
