"""Plots of a tank's tests: on request, and under a remark about a trend."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any

from bot.assistant import history, pictures
from bot.assistant.history_parts import tank_of
from bot.assistant.pictures import Source
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Reading
from bot.messages import Button
from bot.rules import plots as rules
from bot.rules.plots import Row, Strip
from bot.rules.usual import Seen
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import plots as wording

_MOST_READINGS = 2000


def take(turn: Turn, item: Item) -> list[Part]:
    """A question about the past; one about a trend gets its plot as well."""
    assert isinstance(item, Control)
    tank = tank_of(turn, item)
    if item.subject != "trend" or tank is None or turn.tank(tank) is None:
        return history.take(turn, item)
    found = strip_of(pictures.source_of(turn), tank, [item.parameter] if item.parameter else (), item.days)
    if not found.rows:
        return history.take(turn, item)
    said = history.take(turn, item) if item.parameter else [Part(head="\n".join(wording.lines(found)))]
    return [*said, _picture(turn, tank, item.parameter, item.days)]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Plot] under a remark: "pl:12", of the reading that is fact 12."""
    fact = logbook.fact(turn.db, int(args[0]))
    if fact is None or not isinstance(fact.item, Reading) or not fact.item.tank or not turn.tank(fact.item.tank):
        return []
    tank, parameter = fact.item.tank, fact.item.parameter
    found = strip_of(pictures.source_of(turn), tank, [parameter])
    return [Part(head="\n".join(wording.lines(found))), _picture(turn, tank, parameter)]


def button(fact_id: int) -> Button:
    """The button that shows the plot of a reading's test."""
    return Button("Plot", f"pl:{fact_id}")


def strip_of(
    source: Source, tank_name: str, parameters: Sequence[str] = (), days: float | None = None, most: int | None = None
) -> Strip:
    """The rows of a tank: of these tests, else of its usual panel and of what else is measured there."""
    tank = source.tank(tank_name)
    assert tank
    until = source.local(source.at)
    since = until - timedelta(days=days or table("plots")["strip"]["back"]["value"])
    facts = logbook.events(source.db, tank.name, parameters, since, until, _MOST_READINGS, "reading")
    seen: dict[str, list[Seen]] = {}
    for fact in facts:
        if isinstance(fact.item, Reading) and fact.item.of == "tank":
            seen.setdefault(fact.item.parameter, []).append(Seen(source.local(fact.at), fact.item))
    names = parameters or [*tank.panel, *(p for p in seen if p not in tank.panel)]
    rows = [row for p in names if p in seen and (row := rules.row(tank, p, seen[p]))]
    done = {
        name: _moments(source, tank.name, name, Strip(tank.name, since, until, ())) for name in ("water_change", "dose")
    }
    return Strip(
        tank.name,
        since,
        until,
        tuple(rows[: most or table("plots")["most"]["rows"]]),
        done["water_change"],
        done["dose"],
    )


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The plot as a PNG."""
    from bot.wording.pictures import raster, strip

    found = strip_of(source, spec["tank"], [spec["parameter"]] if spec.get("parameter") else (), spec.get("days"))
    return raster.png(strip.scene(found))


def _picture(turn: Turn, tank: str, parameter: str | None, days: float | None = None) -> Part:
    facts = [f.id for f in _shown(turn, tank, parameter, days)]
    name = pictures.attached(turn, "strip", tank, facts, parameter=parameter, days=days)
    return Part(files=(name,))


def _shown(turn: Turn, tank: str, parameter: str | None, days: float | None) -> list[Fact]:
    since = turn.said_at - timedelta(days=days or table("plots")["strip"]["back"]["value"])
    names = [parameter] if parameter else []
    return logbook.events(turn.db, tank, names, since, turn.said_at, _MOST_READINGS, "reading")


def _moments(source: Source, tank: str, name: str, span: Strip) -> tuple[Any, ...]:
    found = logbook.events(source.db, tank, [name], span.since, span.until, _MOST_READINGS)
    return tuple(source.local(f.at) for f in found)


def row_of(source: Source, tank: str, parameter: str, days: float | None = None) -> Row | None:
    """The row of one test."""
    found = strip_of(source, tank, [parameter], days).rows
    return found[0] if found else None
