"""The client's report as one page: the lines of the text, with one photo and one small plot at most."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bot.facts.load import table
from bot.rules.plots import Strip
from bot.wording.papers.page import Page
from bot.wording.pictures import strip as strips
from bot.wording.pictures.scene import DARK, LIGHT, Scene
from bot.wording.report import Lines

_LEFT = 20.0


@dataclass(frozen=True)
class Extras:
    """What stands on the page beside the lines: the team's name, the size, a photo's path, the plot of one test."""

    team: str
    size: str
    at: datetime
    photo: str | None = None
    plot: Strip | None = None


def pdf(lines: Lines, extras: Extras) -> bytes:
    """The page as a PDF."""
    page = Page(extras.size, lines.title, extras.at)
    page.turn()
    room = page.width - 2 * _LEFT
    page.words(_LEFT, 18, extras.team, 10, ink=DARK)
    page.words(page.width - _LEFT, 18, "Report of a visit", 10, at="r", ink=DARK)
    page.line([(_LEFT, 21), (page.width - _LEFT, 21)], 0.3)
    place, _, when = lines.title.partition(" · ")
    y = page.paragraph(_LEFT, 32, place, room, 18, bold=True)
    y = page.paragraph(_LEFT, y, when, room, 12, ink=DARK)
    y = _box(page, y + 1, lines.first, room)
    for head, said in (("Done", lines.done), ("Animals", lines.animals), ("Water", lines.water)):
        y = _section(page, y, head, said, room) if said else y
    y = _pictures(page, y, extras, room)
    for head, said in (
        ("Please", lines.please.removeprefix("Please: ")),
        ("Call us", lines.call),
        ("Next", lines.next),
    ):
        y = _section(page, y, head, said, room) if said else y
    return page.bytes()


def _box(page: Page, y: float, first: str, room: float) -> float:
    """What matters most, in a frame."""
    end = page.paragraph(_LEFT + 5, y + 8, first, room - 10, 13, bold=True)
    page.box(_LEFT, y, room, end - y - 1.5, edge=0, line=0.4)
    return end + 8


def _section(page: Page, y: float, head: str, said: str, room: float) -> float:
    page.words(_LEFT, y, head, 11, bold=True)
    text = said.replace("; ", "\n") if "; " in said else said.replace(" · ", "\n") if head == "Water" else said
    y = page.paragraph(_LEFT + 26, y, text, room - 26, 11)
    page.line([(_LEFT, y - 2.6), (_LEFT + room, y - 2.6)], 0.15, LIGHT)
    return y + 3.2


def _pictures(page: Page, y: float, extras: Extras, room: float) -> float:
    """One photo, one small plot, beside each other."""
    half, height = (room - 8) / 2, 0.0
    if extras.photo:
        page.photo(_LEFT, y, half, half * 0.7, extras.photo)
        height = half * 0.7
    if extras.plot:
        left = _LEFT + (half + 8 if extras.photo else 0)
        height = max(height, page.scene(left, y - 2, half, _plot(extras.plot)))
    return y + height + 9 if height else y


def _plot(strip: Strip) -> Scene:
    return strips.small(strip, table("report")["tests"][strip.rows[0].parameter])
