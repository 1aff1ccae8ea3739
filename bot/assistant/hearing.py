"""T18: a voice note that no program turned into words (doors/hear.py does); heard ones are messages like any other."""

from __future__ import annotations

from pathlib import Path

from bot.assistant.turn import Part, Turn
from bot.wording import service as wording

SOUNDS = (".ogg", ".oga", ".opus", ".mp3", ".m4a", ".wav", ".amr")


def unheard(turn: Turn) -> list[Part]:
    """Of a sound that nobody heard, that it must be typed."""
    is_sound = turn.file is not None and Path(turn.file).suffix.lower() in SOUNDS
    return [Part(lines=(wording.cannot_hear(),))] if is_sound and not turn.heard else []
