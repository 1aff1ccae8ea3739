"""The record as tables, sent in the chat to office or owner: CSV, one file a table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.assistant.pictures import Source, attached
from bot.assistant.turn import Part, Turn
from bot.items import Item
from bot.rules import gates
from bot.store.spreadsheet import csv_files

SENT = ("readings", "events", "entries", "messages")
"""What a person asks for; the rest is there for whoever keeps the machine."""


def take(turn: Turn, item: Item) -> list[Part]:
    """ "export": the tables as they stand now; staff alone, since they hold every client."""
    if not gates.may("G11", turn.who.role):
        return [Part(head="The record is handed out to office or owner: ask them.")]
    files = tuple(attached(turn, "export", ending="csv", table=name) for name in SENT)
    head = f"The record as tables, times with their zone: {', '.join(SENT)}."
    return [Part(head=head, lines=("Door codes are in none of them.",), files=files)]


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """One table as CSV, UTF-8."""
    return "".join(csv_files(source.db)[f"{spec['table']}.csv"]).encode()
