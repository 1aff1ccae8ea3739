"""Where animals go: "moved 3 chromis from den to frag", "tang to qt-2", "released the angels from qt-1 to the bar"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from bot.items import Event
from bot.understanding.animals import Animals
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, sentence, word, words
from bot.understanding.names import Mention
from bot.understanding.text import Text


def moved_to(text: Text, animals: Animals) -> Iterator[Claim]:
    """ "tang to qt-2", "tang from den to bar": animals, "to" and a tank, without a verb."""
    behind = {word(text, m.start): m for m in text.mentions if m.start == animals.stop}
    left = behind.get("from")
    stop = left.stop if left else animals.stop
    to = next((m for m in text.mentions if m.start == stop and word(text, m.start) in ("to", "into")), None)
    inside = clause(text, animals.start)
    if to and not to.vat and to.plausible >= 1 and animals.start == inside.start:
        used = animals.span | to.span | (left.span if left else frozenset())
        item = _to_tank(text, animals, to.options[0])
        if left:
            item = replace(item, event="livestock_moved", tank=None, from_tank=left.options[0], to_tank=to.options[0])
        yield Claim((item,), used, weigh(text.tokens, used, 1.1))


def _to_tank(text: Text, animals: Animals, tank: str) -> Event:
    """New ones are added there; others have been moved."""
    said = text.typed(animals.named, animals.stop)
    if {"new", "more"} & set(words(text, animals.start, animals.stop)):
        return Event("livestock_added", tank, count=animals.count, subject=said)
    return _with_home(text, Event("livestock_moved", count=animals.count, subject=said, to_tank=tank))


def is_move(text: Text, moved: Event, animals: Animals) -> bool:
    """ "released the angels from qt-1 to the bar": what is added in one tank leaves another."""
    said_from = "from" in words(text, animals.stop, sentence(text, animals.start).stop)
    return said_from and None not in (moved.from_tank, moved.to_tank) and moved.from_tank != moved.to_tank


FROM, TO = ("from", "out"), ("to", "into", "in", ">", "->")


def with_tanks(text: Text, item: Event, animals: Animals) -> tuple[Event, frozenset[int]]:
    """The tanks after "from" and "to" in the sentence, and their tokens."""
    here = sentence(text, animals.start)
    source, target = (_mention_after(text, here, animals, names) for names in (FROM, TO))
    count, subject = item.count, item.subject
    made = Event("livestock_moved", count=count, subject=subject, from_tank=_name(source), to_tank=_name(target))
    used = frozenset(place for mention in (source, target) if mention for place in mention.span)
    return _with_home(text, made), used | _way_words(text, source, target)


def _mention_after(text: Text, here: range, animals: Animals, opening: Sequence[str]) -> Mention | None:
    found = [m for m in text.mentions if m.start in here and not m.vat and m.plausible >= 0.5 and len(m.options) == 1]
    found = [m for m in found if not m.span & animals.span]
    if opening is TO:
        return next(
            (m for m in found if m.start >= animals.stop and {word(text, m.start), word(text, m.start - 1)} & set(TO)),
            None,
        )
    direct = next((m for m in found if {word(text, m.start), word(text, m.start - 1)} & set(FROM)), None)
    plain = [m for m in found if not {word(text, m.start), word(text, m.start - 1)} & set(TO)]
    return direct or next((m for m in plain if m.start >= animals.stop), None)


def _way_words(text: Text, *mentions: Mention | None) -> frozenset[int]:
    befores = (m.start - 1 for m in mentions if m)
    return frozenset(place for place in befores if word(text, place) in (*FROM, *TO))


def _name(mention: Mention | None) -> str | None:
    return mention.options[0] if mention else None


def _with_home(text: Text, item: Event) -> Event:
    """A move is told of the tank where it starts; where only its end is said, of the tank in hand."""
    return replace(item, tank=item.from_tank)
