"""B6, labels for a bleach bath or bottle: what it is, how strong, until when, the usual caution; the words of hazard
are copied from the product's own label into the frame, as local rules ask."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from bot.facts.load import table
from bot.wording.papers.page import Page
from bot.wording.pictures.scene import DARK, MID

_MARGIN, _COLUMNS, _ROWS = 10.0, 2, 3


def pdf(known: Mapping[str, str], size: str, at: datetime) -> bytes:
    """A sheet of six; `known` fills blanks by their names ("Strength": "200 mg/L"), the rest is written by hand."""
    page = Page(size, "Bleach labels", at)
    page.turn()
    width, height = (page.width - 2 * _MARGIN) / _COLUMNS, (page.height - 2 * _MARGIN) / _ROWS
    for place in range(_COLUMNS * _ROWS):
        x, y = _MARGIN + width * (place % _COLUMNS), _MARGIN + height * (place // _COLUMNS)
        page.line([(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)], 0.15, MID, dash=1.5)
        _label(page, known, x + 5, y + 10, width - 10, height - 14)
    return page.bytes()


def _label(page: Page, known: Mapping[str, str], x: float, top: float, room: float, height: float) -> None:
    told = table("papers")["bleach"]
    page.words(x, top, told["title"], 15, bold=True)
    y = top + 7.5
    for blank in told["blanks"]:
        page.words(x, y, blank, 9.5, bold=True)
        if blank in known:
            page.words(x + 20, y, known[blank], 10, room=room - 20)
        else:
            page.line([(x + 20, y + 0.6), (x + room, y + 0.6)], 0.2, MID)
        y += 6.4
    for line in told["caution"]:
        y = page.paragraph(x, y, line, room, 8)
    y = page.paragraph(x, y + 1, told["rules"], room, 7.5, ink=DARK)
    page.box(x, y - 2.5, room, max(top + height - y - 6, 8), edge=0)
