"""Door codes in a message: found, and masked before the words are kept anywhere."""

from __future__ import annotations

import re
from dataclasses import dataclass

MASK = "****"

_OTHERS = ("error", "fault", "lot", "colour", "color", "area", "zip", "post", "date", "qr", "one-use", "status")
_NO_DOOR = "".join(f"(?<!{word} )" for word in _OTHERS)
_DOOR = r"(?:door|gate|alarm|entry|access|key|keypad|lock|safe|cabinet)"
_WORD = r"(?:[^\W\d][\w'&.-]*)"
_LINK = r"(?:is|was|are|now|no|number|new|changed to|=|:|-)"
_PAIRS, _RUN = r"\d{1,2}(?:[ -]\d{1,2}){1,5}(?!\d)(?: ?[#*])?", r"\d[\dA-Za-z#*-]{2,}"
_LETTERED = r"[A-Za-z]{1,3}\d{2,}[\w#*]*"
_VALUE = rf"(?P<code>[#*]?(?:{_PAIRS}|{_RUN}|{_LETTERED}))(?![.,]?\d)"
_FOR = rf"(?:\s*(?:for|of|at|to)(?:\s+{_WORD}){{1,5}}?)?"
_AFTER = re.compile(rf"{_NO_DOOR}\b(?:{_DOOR} ?)?(?:code|keycode|passcode|pin)\b{_FOR}(?:\s*{_LINK})*\s*{_VALUE}", re.I)
_WITH_NAME = re.compile(rf"\b{_DOOR} ?code\b(?:\s+{_WORD}){{1,5}}?(?:\s*{_LINK})*\s*{_VALUE}", re.I)
_OF_A_BOX = re.compile(rf"\b(?:key ?safe|lock ?box|key ?box)\b(?:\s*{_LINK})*\s*{_VALUE}", re.I)


@dataclass(frozen=True)
class Masked:
    """A text without its codes, and the codes in the order in which they stood."""

    text: str
    codes: tuple[str, ...] = ()


def masked(text: str) -> Masked:
    """The text as it may be kept: "code 4471#" becomes "code ****"."""
    found: dict[int, re.Match[str]] = {}
    for pattern in (_AFTER, _WITH_NAME, _OF_A_BOX):
        for match in pattern.finditer(text):
            found.setdefault(match.start("code"), match)
    codes: list[str] = []
    rest = text
    for start in sorted(found, reverse=True):
        match = found[start]
        codes.insert(0, match["code"])
        rest = rest[:start] + MASK + rest[match.end("code") :]
    return Masked(rest, tuple(codes))
