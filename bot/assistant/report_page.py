"""The page of a report: its lines, one photo of the visit, the plot of what is being corrected."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from bot.assistant import pictures, plots
from bot.assistant.pictures import Source
from bot.assistant.reports_waiting import lines_of
from bot.assistant.turn import Turn
from bot.rules.plots import Strip
from bot.store import photos, reports
from bot.store.reports import Version
from bot.team import Team

_LEAST_POINTS = 4


def file_of(turn: Turn, version: Version) -> str:
    """The page's name, for an answer that carries it."""
    tank = version.report.tanks[0]
    return pictures.attached(turn, "report", tank, version.report.facts, "pdf", version=version.id)


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The page as a PDF."""
    from bot.wording.papers import report as page

    version = reports.version(source.db, spec["version"])
    assert version
    extras = page.Extras(
        source.team.name, paper(source.team), source.at, _photo(source, version), _plot(source, version)
    )  # fmt: skip
    return page.pdf(lines_of(source.db, source.team, version), extras)


def paper(team: Team, words: str = "") -> str:
    """The size of paper: as the words say, as the team has set, else by its units."""
    said = words.casefold().split()
    named = next((size for size in ("a4", "letter", "a6") if size in said), None)
    return named or str(team.data.get("paper") or ("letter" if team.units == "us" else "a4"))


def _photo(source: Source, version: Version) -> str | None:
    """The last photo of the visit; none that proves a gate, and none where the office took it out."""
    if "photo" in version.own:
        return None
    report = version.report
    found = [s for t in report.tanks for s in photos.of_tank(source.db, t, report.start, report.end) if not s.proves]
    paths = [source.path_of(s.path) for s in sorted(found, key=lambda s: s.at, reverse=True)]
    return next((path for path in paths if Path(path).is_file()), None)


def _plot(source: Source, version: Version) -> Strip | None:
    """Half a year of what is being corrected; readings that somebody stands by, and no others."""
    wrong = [n for n in version.report.numbers if not n.fine]
    if not wrong or source.tank(wrong[0].tank) is None:
        return None
    found = plots.strip_of(replace(source, at=version.report.end), wrong[0].tank, [wrong[0].parameter])
    rows = tuple(replace(row, points=tuple(p for p in row.points if p.confirmed)) for row in found.rows)
    return replace(found, rows=rows, doses=()) if rows and len(rows[0].points) >= _LEAST_POINTS else None
