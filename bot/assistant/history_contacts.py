"""What touched what: where a tool or an animal has been, and which tanks got water of a batch."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.assistant import judging
from bot.assistant.history_parts import day_of, entries_of, today_of
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Batch, Control, Event, Reading, Task, Wait
from bot.rules.batches import MADE
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import history as wording

_MANY = 5000


def touched(turn: Turn, item: Control) -> list[str]:
    """Where a thing has been, as a dated list."""
    head, newest = met(turn, item)
    return wording.contacts(head, entries_of(turn, newest), today_of(turn))


def met(turn: Turn, item: Control) -> tuple[str, list[Fact]]:
    """Every entry that names a thing (net 3, a bucket, an animal), newest first, with its tank; of one in a tank, also
    what was put to work there since, and where that went. With it the words that say what and since when.
    """
    words = _words(item.reason or "", item.tank)
    day = day_of(turn, item)
    since = day[0] if day else turn.now - timedelta(days=table("conversation")["contacts"]["days"])
    named = [f for f in _told(turn, since) if _names(f, words)]
    beside = _beside(turn, item.tank, since) if item.tank else []
    moved = _moved_with(turn, named)
    told = {f.message_id for f in moved}
    found = {f.id: f for f in (*(f for f in named if f.message_id not in told), *moved, *beside)}
    newest = sorted(found.values(), key=lambda f: (f.at, f.id), reverse=True)
    head = (
        f"{' '.join(words) or item.reason}{f' at {item.tank}' if item.tank else ''}, since {wording.short_day(since)}"
    )
    return head, newest


def _moved_with(turn: Turn, named: Sequence[Fact]) -> list[Fact]:
    """The moves of animals in whose message a tool was named: it was in both tanks."""
    told = [f.message_id for f in named if isinstance(f.item, Event) and f.item.event == "note"]
    found = logbook.facts_of(turn.db, told) if told else []
    return [f for f in found if isinstance(f.item, Event) and f.item.event == "livestock_moved" and not f.void]


def _told(turn: Turn, since: datetime) -> list[Fact]:
    kinds = ("event", "wait", "task")
    found = [f for kind in kinds for f in logbook.events(turn.db, None, since=since, kind=kind, limit=_MANY)]
    return found + logbook.events(turn.db, None, since=since, kind="control", limit=_MANY)


def _words(thing: str, tank: str | None) -> list[str]:
    """The words of the thing itself: articles and the words of its tank left out."""
    of_tank = set(_plain(tank or ""))
    return [w for w in _plain(thing) if w not in ("the", "a", "our", "in", "at", "of", "from") and w not in of_tank]


def _plain(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _names(fact: Fact, words: Sequence[str]) -> bool:
    """Whether an entry names the thing: each of its words, whole ("net 3" is not "net 31"), the plural aside."""
    said = {w.rstrip("s") for w in _plain(f"{getattr(fact.item, 'subject', '')} {getattr(fact.item, 'text', '')}")}
    return bool(words) and all(w.rstrip("s") in said for w in words)


def _beside(turn: Turn, tank: str, since: datetime) -> list[Fact]:
    """What met everything in a tank: tools put to work there and wherever else they went, water and animals that came
    and went.
    """
    told = _told(turn, since)
    here = [f for f in told if getattr(f.item, "tank", None) == tank or _goes_to(f, tank)]
    contacts = [f for f in here if f.item.kind == "wait" or _is_contact(f)]
    tools = [_words(str(f.item.subject), tank) for f in contacts if isinstance(f.item, Wait) and f.item.subject]
    return [*contacts, *(f for f in told if any(_names(f, words) for words in tools))]


def _goes_to(fact: Fact, tank: str) -> bool:
    return getattr(fact.item, "to_tank", None) == tank


def _is_contact(fact: Fact) -> bool:
    return isinstance(fact.item, Event) and fact.item.event in table("conversation")["contacts"]["events"]


def batch(turn: Turn, item: Control) -> list[str]:
    """The tanks that got water of a batch: those that were tested fine since, and those still to be tested."""
    made = _batch_of(turn, item.number)
    if made is None:
        return [f"No batch {item.number or ''} on record.".replace("  ", " ")]
    given = _water_of(turn, made, item.number)
    fine = [f for f in given if _is_fine_since(turn, f)]
    rest = [f for f in given if f not in fine]
    return wording.batch(item.number, entries_of(turn, [made])[0], entries_of(turn, fine), entries_of(turn, rest))


def _batch_of(turn: Turn, number: int | None) -> Fact | None:
    """The batch of that number; one without a number counts from the first on record."""
    made = sorted(logbook.events(turn.db, None, MADE, kind="batch", limit=_MANY), key=lambda f: (f.at, f.id))
    by_number = {(f.item.number or place): f for place, f in enumerate(made, 1) if isinstance(f.item, Batch)}
    return by_number.get(number) if number is not None else (made[-1] if made else None)


def _water_of(turn: Turn, made: Fact, number: int | None) -> list[Fact]:
    """Changes and top-offs from its vat until the next batch stood there, or that name the batch."""
    assert isinstance(made.item, Batch)
    later = [
        f.at
        for f in logbook.events(turn.db, None, (*MADE, "dumped"), made.at, kind="batch")
        if f.id != made.id and _same_vat(f, made)
    ]
    end = min(later, default=None)
    drawn = logbook.events(turn.db, None, ("water_change", "top_off"), made.at, limit=_MANY)
    named = re.compile(rf"\bbatch\s*{number}\b") if number is not None else None
    own = [f for f in drawn if _is_of(f, number) or (_same_vat(f, made) and (end is None or f.at < end))]
    told = [f for f in drawn if named and named.search(str(getattr(f.item, "subject", "")).casefold())]
    return sorted({f.id: f for f in (*own, *told)}.values(), key=lambda f: f.at)


def _is_of(fact: Fact, number: int | None) -> bool:
    return number is not None and getattr(fact.item, "batch", None) == number


def _same_vat(fact: Fact, made: Fact) -> bool:
    return getattr(fact.item, "vat", None) is not None and getattr(fact.item, "vat", None) == getattr(
        made.item, "vat", None
    )


def _is_fine_since(turn: Turn, drawn: Fact) -> bool:
    """Whether its tank was tested since, and nothing of it called for action."""
    tank = getattr(drawn.item, "tank", None)
    tests = logbook.events(turn.db, tank, since=drawn.at + timedelta(minutes=30), kind="reading") if tank else []
    sure = [f for f in tests if isinstance(f.item, Reading) and not f.item.unconfirmed]
    return bool(sure) and not any(v.kind in _BAD for f in sure for v in judging.verdicts_of(turn, f))


_BAD = ("poison", "free_ammonia", "alarm", "chloride")


def untested(turn: Turn, item: Control) -> list[str]:
    """The tanks that got water of a batch and were not tested since."""
    made = _batch_of(turn, item.number)
    found = _water_of(turn, made, item.number) if made else []
    tanks = (getattr(f.item, "tank", None) for f in found if not _is_fine_since(turn, f))
    return list(dict.fromkeys(t for t in tanks if t))


def press_tasks(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Make 2 tasks] under a batch: a test for each tank that was not tested since."""
    number = int(args[0]) if args[0] else None
    tanks = untested(turn, Control("history", subject="batch", number=number))
    for tank in tanks:
        turn.keep(Task(f"test after water of batch {number or ''}".strip(), tank, turn.local(turn.now).date()))
    many = f"{len(tanks)} task{'s' * (len(tanks) != 1)}"
    return [Part(lines=(f"{many} for today: test {', '.join(tanks)}",), stored=True)] if tanks else []
