"""The letters that pictures and pages are written in: where their files are, and how wide a text is.

Source Sans (SIL Open Font License, from the package font-source-sans-pro) has Latin, Greek and Cyrillic letters with
all accents, and the signs that a report needs.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

_FACES = {False: "SourceSansPro-Regular.ttf", True: "SourceSansPro-Bold.ttf"}
_MEASURED_AT = 64


def font_file(bold: bool = False) -> str:
    """The path of the face."""
    return str(files("font_source_sans_pro") / "files" / _FACES[bold])


@cache
def font(size: int, bold: bool = False) -> Any:
    """The face at a size in pixels, for drawing."""
    from PIL import ImageFont

    return ImageFont.truetype(font_file(bold), size, layout_engine=ImageFont.Layout.BASIC)


def width_of(text: str, size: float, bold: bool = False) -> float:
    """How wide the text is."""
    return float(font(_MEASURED_AT, bold).getlength(text)) * size / _MEASURED_AT


def cut(text: str, size: float, room: float, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits, with a sign that there is more."""
    if width_of(text, size, bold) <= room:
        return text
    while text and width_of(text + "…", size, bold) > room:
        text = text[:-1].rstrip()
    return text + "…"


def wrapped(text: str, size: float, room: float, bold: bool = False) -> list[str]:
    """The text in lines that fit; a word that is too long alone is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size, bold) <= room:
            lines[-1] = longer
        else:
            lines.append(cut(word, size, room, bold))
    return lines
