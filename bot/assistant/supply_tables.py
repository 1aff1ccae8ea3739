"""A table that was worked out for an answer (the order list, the costs of a month), as CSV when it is sent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.assistant.pictures import Source
from bot.store.spreadsheet import lines_of


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The rows of the note as CSV, in UTF-8; no cell that a spreadsheet would run."""
    return "".join(lines_of(spec["rows"])).encode()
