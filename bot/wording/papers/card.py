"""B2, the tank card: what must be known where no phone works, on A6."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.wording.papers.page import Page
from bot.wording.pictures.scene import DARK, LIGHT

_LEFT = 7.0


@dataclass(frozen=True)
class Card:
    """A tank in words: `rows` are (name, what holds) pairs in the order of the card; `steps` the shut-off order."""

    tank: str
    code: str
    rows: Sequence[tuple[str, str]]
    steps: Sequence[str]
    desk: str


def pdf(cards: Sequence[Card], at: datetime, printed: str) -> bytes:
    """One page a tank."""
    page = Page("a6", "Tank cards", at)
    for card in cards:
        page.turn()
        _card(page, card, printed)
    return page.bytes()


def _card(page: Page, card: Card, printed: str) -> None:
    room = page.width - 2 * _LEFT
    page.words(page.width - _LEFT, 12, card.code, 18, bold=True, at="r")
    y = page.paragraph(_LEFT, 12, card.tank, room - 22, 14, bold=True)
    for name, said in card.rows:
        page.words(_LEFT, y, name, 8, bold=True)
        y = page.paragraph(_LEFT + 21, y, said, room - 21, 8) + 0.8
        page.line([(_LEFT, y - 3.2), (_LEFT + room, y - 3.2)], 0.1, LIGHT)
    page.words(_LEFT, y + 1.5, "Shut off in this order", 9, bold=True)
    y = page.paragraph(_LEFT, y + 5.8, " > ".join(f"{n} {step}" for n, step in enumerate(card.steps, 1)), room, 8.5)
    y = page.paragraph(_LEFT, y, table("papers")["shut_off"]["note"], room, 7.5, ink=DARK)
    page.paragraph(_LEFT, y + 1, f"Then {table('papers')['shut_off']['order_back']}.", room, 7.5, ink=DARK)
    page.words(_LEFT, page.height - 6, card.desk, 9, bold=True)
    page.words(page.width - _LEFT, page.height - 6, printed, 7.5, at="r", ink=DARK)
