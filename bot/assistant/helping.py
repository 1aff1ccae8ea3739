"""What can be texted; what a word of the trade means, in two lines; how this team does it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bot.assistant import learner, running
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.messages import Button
from bot.rules.jobs import meaning
from bot.wording import learner as wording
from bot.wording.help import HELP


def take(turn: Turn, item: Item) -> list[Part]:
    """The help in one screen; of a word, what it means; of a question answered before, the answer."""
    assert isinstance(item, Control)
    known = learner.how_we_do_it(turn, item.subject or "")
    if known:
        return [Part(head=known[0], lines=tuple(known[1:3]))]
    name = _term(item.subject or "")
    if name:
        term = table("glossary")["terms"][name]
        button = (Button("How long here", f"gl:{name}"),) if "wait" in term else ()
        return [Part(head=term["says"][0], lines=tuple(term["says"][1:]), buttons=button)]
    head, *lines = HELP.splitlines()
    return [Part(head=head, lines=tuple(lines))]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[How long here]: the team's own length of that wait."""
    term: Mapping[str, Any] = table("glossary")["terms"].get(args[0], {})
    if "wait" not in term:
        return []
    kind = running.kind_of(turn, str(term["wait"]), None, None)
    return [Part(head=wording.how_long(kind.name, kind.default, kind.shortest, kind.longest))]


def _term(said: str) -> str | None:
    """The word of the trade that the question is about."""
    wanted = meaning(said)
    found = [
        (len(own), name)
        for name, term in table("glossary")["terms"].items()
        for phrase in str(term["words"]).split(",")
        if (own := meaning(phrase)) and own <= wanted
    ]
    return max(found)[1] if found else None
