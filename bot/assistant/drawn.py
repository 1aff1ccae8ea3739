"""How each kind of picture and page is drawn from its note: the one table that the doors use."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

from sqlite_utils import Database

from bot.assistant import pictures
from bot.assistant.pictures import Source
from bot.store.roster import load_team

# kind: where it is drawn. Loaded only when something is drawn: neither pencil nor press is needed for a reply.
_WAYS: dict[str, tuple[str, str]] = {
    "strip": ("bot.assistant.plots", "draw"),
    "report": ("bot.assistant.report_page", "draw"),
    "orders": ("bot.assistant.supply_tables", "draw"),
    "billing": ("bot.assistant.supply_tables", "draw"),
    "export": ("bot.assistant.exporting", "draw"),
    "costs": ("bot.assistant.supply_tables", "draw"),
    "labels": ("bot.assistant.labels", "draw"),
    "tools": ("bot.assistant.labels", "draw_tools"),
    "card": ("bot.assistant.papers", "draw_card"),
    "sheet": ("bot.assistant.papers", "draw_sheet"),
    "sign": ("bot.assistant.papers", "draw_sign"),
    "bleach": ("bot.assistant.papers", "draw_bleach"),
    "year": ("bot.assistant.year_page", "draw"),
    "day": ("bot.assistant.team_pictures", "draw_day"),
    "tanks": ("bot.assistant.team_pictures", "draw_tanks"),
    "vat": ("bot.assistant.team_pictures", "draw_vat"),
    "contacts": ("bot.assistant.team_pictures", "draw_contacts"),
    "pair": ("bot.assistant.photos", "draw_pair"),
}


def drawn(db: Database, name: str) -> bytes | None:
    """The content of the picture or page of that name; None where the name is none of ours."""
    note = pictures.noted(db, name)
    if note is None:
        return None
    return way(str(note.data["draw"]))(Source(db, load_team(db), note.at), {"tank": note.tank, **note.data["spec"]})


def way(kind: str) -> Callable[[Source, Mapping[str, Any]], bytes]:
    """What draws that kind."""
    module, function = _WAYS[kind]
    found: Callable[[Source, Mapping[str, Any]], bytes] = getattr(import_module(module), function)
    return found
