"""The warning at the moment of the message: one line, first, once; what must be answered is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from bot.assistant import asking, reckoned, scene
from bot.assistant.turn import Ask, Part, Turn
from bot.items import Control, Item, Understood, Wait
from bot.rules import cleaners
from bot.rules import gates as gate_rules
from bot.rules import warnings as rules
from bot.rules.warnings import Warning
from bot.store import conversations
from bot.store.pending import Pending
from bot.team import Tank
from bot.wording import guards as guard_words
from bot.wording import warnings as wording

_OPENERS = ("STOP", "HOLD", "OUT NOW", "Not safe")


def look(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """Puts the most pressing warning before everything else that is said, and leaves out other remarks."""
    if any(p.head and p.head.startswith(_OPENERS) for p in parts) or _somebody_hurt(understood.items):
        return []
    tank = scene.tank_of(turn, understood)
    found = [
        *_near_bleach(turn, understood, tank),
        *rules.found(scene.of(turn, understood)),
        *reckoned.found(turn, understood, tank),
    ]
    today = _said_today(turn, tank)
    best = next((w for w in sorted(found, key=lambda w: w.rank) if w.every_time or w.key not in today), None)
    if best is None:
        return []
    parts[:] = [replace(p, remark=None) for p in parts]
    parts.insert(0, _part(turn, best, tank))
    _remember(turn, best, tank)
    return []


def answer(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The answer to what a HOLD asked: yes lets it go on, with name and time; no says what comes first."""
    value = value or wording.yes_or_no(text)
    if value is None:
        return None
    gate, place = str(question.data["gate"]), question.data.get("place")
    kept = Control("answer", tank=str(place) if place else None, answers=(f"{gate}_{value}",))
    turn.keep(kept)
    clock = f"{turn.local(turn.said_at):%H:%M}"
    head = wording.answered(gate, value, str(place or ""), clock, turn.who.name)
    return [Part(head=head), *asking.settled(turn, question)]


def _part(turn: Turn, best: Warning, tank: Tank | None) -> Part:
    place = tank.name if tank else None
    words = wording.line(best, place, tank.volume if tank else None, turn.text)
    if best.gate is None:
        return Part(head=words, warns=True)
    kept = {"gate": best.gate, "place": place}
    return Part(ask=Ask(words, wording.options(best.gate), "prompt", best.gate, None, kept, hold=True), warns=True)


def _near_bleach(turn: Turn, understood: Understood, tank: Tank | None) -> list[Warning]:
    """Another cleaner is spoken of while bleach stands open at the site."""
    clash = cleaners.clash(turn.text, None, scene.open_at(turn, tank.name if tank else None))
    started = any(isinstance(i, Wait) and i.wait == "bleach_soak" for i in understood.items)
    return [Warning("near_bleach", 0, "STOP", guard_words.CLASH[clash])] if clash and not started else []


def _somebody_hurt(items: Sequence[Item]) -> bool:
    return any(isinstance(i, Control) and i.action == "person_hurt" for i in items)


def _said_today(turn: Turn, tank: Tank | None) -> set[str]:
    warned = conversations.conversation(turn.db, turn.chat).data.get("warned", {})
    today = _day(turn)
    place = tank.name if tank else ""
    return {key.split("|")[0] for key, day in warned.items() if day == today and key.endswith(f"|{place}")}


def _remember(turn: Turn, best: Warning, tank: Tank | None) -> None:
    known = conversations.conversation(turn.db, turn.chat)
    today = _day(turn)
    warned = {k: d for k, d in known.data.get("warned", {}).items() if d == today}
    warned[f"{best.key}|{tank.name if tank else ''}"] = today
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data={**known.data, "warned": warned})


def _day(turn: Turn) -> str:
    return turn.local(turn.now).date().isoformat()


def overriders(gate: str) -> tuple[str, ...]:
    """Who may go on past a HOLD that a warning put."""
    return gate_rules.overriders(gate)
