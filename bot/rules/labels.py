"""The codes of labels: a short one for the thumb, a long random one for the camera, and what each stands for."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from bot.facts.load import table
from bot.team import Team

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_TOKEN = re.compile(r"/?start ([a-z]{14})")
TOKEN_LENGTH = 14  # letters of 26: 65 bits


@dataclass(frozen=True)
class Labelled:
    """What a scanned label is stuck to: a tank, a vat, a tool ("net 3"), or the front desk of the client `name`."""

    kind: str
    name: str


def token_from(random: bytes) -> str:
    """A token made of random bytes (9 at the least)."""
    number = int.from_bytes(random, "big")
    digits = []
    for _ in range(TOKEN_LENGTH):
        number, rest = divmod(number, len(_LETTERS))
        digits.append(_LETTERS[rest])
    return "".join(digits)


def token_in(text: str) -> str | None:
    """The token of a scan: the words that the chat sends when a label is opened; None for any other message."""
    found = _TOKEN.fullmatch(text.strip())
    return found[1] if found else None


def meaning(team: Team, token: str) -> Labelled | None:
    """What the label with that token is stuck to; None for one that was reissued, or never ours."""
    tanks = [Labelled("tank", t.name) for t in team.tanks if t.data.get("label_token") == token]
    vats = [Labelled("vat", v.name) for v in team.vats if v.data.get("label_token") == token]
    tools = [Labelled("tool", name) for name, known in tools_of(team).items() if known == token]
    desks = [Labelled("desk", t.name.removeprefix(_DESK)) for t in tools if t.name.startswith(_DESK)]
    return next(iter([*tanks, *vats, *desks, *tools]), None)


def desk_label(client: str) -> str:
    """What stands on the label of a client's front desk."""
    return f"{_DESK}{client}"


_DESK = "Tell us: "


def tools_of(team: Team) -> dict[str, str]:
    """The tools that have labels, with their tokens."""
    return dict(team.data.get("tools", {}))


def free_codes(team: Team) -> Iterable[str]:
    """Codes that no tank of the team has, and that could not be read as a name ("Q3" where there is a Quarantine 3)."""
    told = table("papers")["codes"]
    taken = {str(n).casefold() for t in team.tanks for n in (*t.nicknames, t.data.get("label", ""))}
    full = [*(t.name for t in team.tanks), *(v.name for v in team.vats)]
    names = [word.casefold() for name in full for word in name.split()]
    for number in range(told["first"], told["last"] + 1):
        for letter in told["letters"]:
            code = f"{letter}{number}"
            reads_as_name = str(number) in names and any(w.startswith(letter.casefold()) for w in names)
            if code.casefold() not in taken and not reads_as_name:
                yield code
