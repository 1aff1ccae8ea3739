"""I7, what touched what: a dated list, oldest first, with a line from place to place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bot.wording.pictures.letters import cut, wrapped
from bot.wording.pictures.scene import (
    DARK,
    LARGE,
    MID,
    PALE,
    SMALL,
    WIDTH,
    Dot,
    Line,
    Scene,
    Shape,
    Words,
)  # fmt: skip

_LEFT, _MOST_PLACES, _GAP, _ROW = 10.0, 5, 22.0, 40.0


@dataclass(frozen=True)
class Contact:
    """One entry: when, at which place, who and what."""

    when: str
    place: str
    said: str


def scene(title: str, found: Sequence[Contact]) -> Scene:
    """The whole picture: a column of dots for each place, the places named at their first dot."""
    places = list(dict.fromkeys(c.place for c in found))[:_MOST_PLACES]
    text = _LEFT + _GAP * len(places) + 6
    shapes: list[Shape] = [Words(_LEFT, 24, cut(title, LARGE, WIDTH - 20, bold=True), LARGE, bold=True)]
    bottom = 44 + _ROW * len(found)
    for number in range(len(places)):
        x = _LEFT + 6 + _GAP * number
        shapes.append(Line(((x, 40), (x, bottom)), 0.8, PALE))
    before: tuple[float, float] | None = None
    for number, contact in enumerate(found):
        x = _LEFT + 6 + _GAP * (places.index(contact.place) if contact.place in places else len(places) - 1)
        at = (x, 54 + _ROW * number)
        if before:
            shapes.append(Line((before, at), 1.4, MID))
        before = at
        shapes += list(_entry(contact, text, at[1]))
    return Scene(WIDTH, bottom + 8, (*shapes, *_dots(found, places)))


def _entry(contact: Contact, left: float, y: float) -> Iterator[Shape]:
    head = f"{contact.when} {contact.place}"
    yield Words(left, y + 4, cut(head, SMALL, WIDTH - left - 8, bold=True), SMALL, bold=True)
    for line in wrapped(contact.said, SMALL, WIDTH - left - 8)[:1]:
        yield Words(left, y + 19, line, SMALL, ink=DARK)


def _dots(found: Sequence[Contact], places: Sequence[str]) -> Iterator[Shape]:
    for number, contact in enumerate(found):
        column = places.index(contact.place) if contact.place in places else len(places) - 1
        yield Dot(_LEFT + 6 + _GAP * column, 54 + _ROW * number, 4.2)
