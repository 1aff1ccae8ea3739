"""Reads the tables of this folder, once each.

Long lines of words stand there in single quotes, '...' or '''...''': tomllib takes those in one piece, and goes through
those in double quotes letter by letter.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """The whole of facts/NAME.toml as nested dictionaries; FileNotFoundError where there is no such table."""
    return tomllib.loads((files("bot.facts") / f"{name}.toml").read_text(encoding="utf-8"))
