"""What was unclear: asked back, kept waiting, and read again with the answer. Nothing of it is stored before."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from bot.assistant import asking, conversation, people, setup_tanks
from bot.assistant.dispatch import parts_of
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Clarify, Control, Item, Situation, Understood, changed
from bot.items_json import as_json, from_json
from bot.messages import Button
from bot.rules.words import says
from bot.store import conversations, waits
from bot.store.pending import Pending
from bot.understanding.read import read
from bot.understanding.units import unit_meant
from bot.wording import clarify as wording


def ask_back(turn: Turn, understood: Understood, said: Sequence[Part]) -> list[Part]:
    """Asks back for all that is unclear in a message; parts that lack the same thing (the tank) together.

    Words that were no entry but called for a warning, or came with a document, are answered by it: nothing is asked
    about them.
    """
    warned = any(p.warns for p in said) or turn.file is not None
    unclear = (_arrived_at_a_site(turn, i) for i in understood.items if isinstance(i, Clarify))
    items = [i for i in unclear if not (warned and i.why == "not_understood")]
    parts: list[Part] = []
    seen: set[str] = set()
    for item in items:
        if item.why == "which_tank" and item.why in seen:
            continue
        seen.add(item.why)
        together = [i for i in items if i.why == "which_tank"] if item.why == "which_tank" else [item]
        parts.append(_ask(turn, item, together))
    return parts


def _arrived_at_a_site(turn: Turn, item: Clarify) -> Clarify:
    """ "here pier hotel", where several tanks stand: which of them is asked, and none is in hand until it is said."""
    if item.why != "not_understood" or not says(turn.text, _ARRIVED):
        return item
    site = next((c.name for c in turn.team.clients if says(turn.text, c.name)), None)
    tanks = tuple(t.name for t in turn.team.tanks if site and t.client == site)
    if not tanks:
        return item
    conversation.let_go(turn)
    return Clarify("which_tank", item.part, options=tanks, about=Control("here"))


_ARRIVED = "here, at, arrived, arrived at, got to, im at, on site, onsite, back at"


def _ask(turn: Turn, item: Clarify, together: Sequence[Clarify]) -> Part:
    options = wording.options(item, turn.team) or _likely(turn, item)
    kept: dict[str, Any] = {"together": [as_json(i) for i in together], "said_at": turn.said_at.timestamp()}
    tank = item.tank or (turn.situation.tank if turn.situation and item.why != "which_tank" else None)
    text = wording.question(replace(item, tank=tank), [i.part for i in together], turn.team)
    return Part(ask=Ask(text, options, "clarify", item.why, item, kept))


def _likely(turn: Turn, item: Clarify) -> wording.Options:
    """Of many tanks those to press: where something of this person's is open, and the site last spoken of."""
    if item.why != "which_tank" or item.options:
        return ()
    open_at = [w.tank for w in waits.open_waits(turn.db, owner=turn.who.name)]
    last = conversations.conversation(turn.db, turn.chat).tank
    names = dict.fromkeys([*open_at, last, *people.site_of(turn, last)])
    return tuple((name, name) for name in [n for n in names if n and turn.tank(n)][: wording.MOST])


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """Takes the answer to a question about a part of a message; None where the words do not answer it."""
    if value == "skip":
        return [Part(lines=("Left out.",)), *asking.settled(turn, question, "dropped")]
    item = question.item
    if not isinstance(item, Clarify):
        return None
    words = _without_always(text) if value is None and item.why == "which_tank" else text
    found = _resolved(turn, question, item, value or words)
    if not found:
        return None
    conversation.carry_on(turn, Understood(tuple(found)))
    written = replace(turn, said_at=datetime.fromtimestamp(float(question.data["said_at"]), UTC))
    parts, after = parts_of(written, Understood(tuple(found))), asking.settled(turn, question)
    return [*parts, *_for_always(turn, question, item, words != text), *after]


def _for_always(turn: Turn, question: Pending, item: Clarify, said: bool) -> list[Part]:
    """The open words keep the meaning that they were given: where that was said at once, else by [Always]."""
    if not _was_open(turn, question, item):
        return []
    if said:
        return setup_tanks.press_always(turn, (str(question.id),))
    return [Part(buttons=(Button("Always", f"n:{question.id}"),))]


def _without_always(words: str) -> str:
    """The name of a tank without the word that makes the open words mean it from now on: "bar, always"."""
    return re.sub(r"^always\b\W*|\W*\balways\W*$", "", words.strip(), flags=re.IGNORECASE)


def _was_open(turn: Turn, question: Pending, item: Clarify) -> bool:
    """Whether words that could mean several tanks have been given one meaning: they may keep it."""
    return item.why == "which_tank" and setup_tanks.open_words(turn, question) is not None


def _resolved(turn: Turn, question: Pending, item: Clarify, words: str) -> list[Item]:
    """The items that the part means, now that the words say what was missing; [] where they do not."""
    situation = turn.situation or Situation(now=turn.local(turn.now))
    if item.why == "which_tank":
        tank = words if turn.tank(words) else conversation.named(turn, words)
        together = [_clarify(data) for data in question.data["together"]]
        return [_with_tank(each, tank, situation) for each in together if each.about or each.part] if tank else []
    return _read_again(item, words, replace(situation, tank=item.tank or situation.tank))


def _read_again(item: Clarify, words: str, situation: Situation) -> list[Item]:
    """Reads the part with the answer in it; only an answer that leaves nothing unclear is taken.

    Words that are an entry of their own are no answer: "lost the goby" is not the unit of "15".
    """
    if item.why == "which_unit" and item.about is not None:
        unit = words if words in item.options else unit_meant(words, item.options)
        return [changed(item.about, unit=unit, tank=item.tank or getattr(item.about, "tank", None))] if unit else []
    if any(_is_plain(i) or _is_order(i) for i in read(words, replace(situation, reply_to=None)).items):
        return []
    for phrase in _phrases(item, words):
        understood = read(phrase, situation)
        if understood.items and not understood.unread and all(_is_meant(i, item) for i in understood.items):
            return list(understood.items)
    return []


def _phrases(item: Clarify, words: str) -> list[str]:
    """How the part could be said with the answer: the value given, the unit added, the parameter named."""
    match item.why:
        case "which_unit":
            return [f"{item.part} {words}"]
        case "which_parameter":
            return [f"{words} {item.part}"]
        case "unlikely_value":
            return [f"{item.parameter} {words}"] if item.parameter else []
        case "missing_amount":
            return [f"{item.part} {words}"]
        case "which_time":
            return [f"{words} {item.part}", f"{item.part} {words}"]
    return []


def _is_meant(item: Item, asked: Clarify) -> bool:
    """Whether the item is what was asked about: of the same kind and name, as far as that is known."""
    name = asked.parameter or getattr(asked.about, "parameter", None) or getattr(asked.about, "event", None)
    names = (getattr(item, "parameter", None), getattr(item, "event", None))
    return _is_plain(item) and (name is None or name in names)


def _is_plain(item: Item) -> bool:
    return item.kind in ("reading", "event", "wait", "task", "question")


def _is_order(item: Item) -> bool:
    """ "done", "leaving", "undo": an order to the bot, and no answer to what was unclear."""
    return item.kind == "control" and getattr(item, "action", "answer") != "answer"


def _with_tank(item: Clarify, tank: str, situation: Situation) -> Item:
    if item.about is not None:
        return changed(item.about, tank=tank)
    understood = read(item.part, replace(situation, tank=tank))
    return understood.items[0] if understood.items else replace(item, tank=tank)


def _clarify(data: dict[str, Any]) -> Clarify:
    found = from_json(data)
    assert isinstance(found, Clarify)
    return found
