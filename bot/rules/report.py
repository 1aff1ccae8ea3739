"""What goes into the client's report: confirmed readings, known deeds, animals; nothing that somebody typed as it was.

Whatever is not in facts/report.toml stays out: remarks, product names, doubts, overrides, other clients' names.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any

from bot.facts.load import table
from bot.items import Control, Event, Item, Reading
from bot.rules import medicines
from bot.rules.judged import Record
from bot.rules.ranges import alarm_for, range_for
from bot.rules.readings import judge
from bot.rules.usual import Seen, share_changed
from bot.rules.words import says
from bot.team import Tank, Team

_WRONG = {"poison", "free_ammonia", "alarm", "outside"}


@dataclass(frozen=True)
class Kept:
    """A fact of the visit: its number, when it held, who said it."""

    id: int
    at: datetime
    who: str
    item: Item


@dataclass(frozen=True)
class Number:
    """A value of a test, and whether it lies where it should."""

    parameter: str
    value: float
    unit: str
    tank: str
    fine: bool
    below: bool = False
    above: bool = False
    low: float | None = None
    high: float | None = None
    basis: str | None = None


@dataclass(frozen=True)
class Deed:
    """Something done: `says` is a phrase of facts/report.toml; `share` of the water where that is known (0: not)."""

    says: str
    tank: str
    share: float = 0.0


@dataclass(frozen=True)
class Creature:
    """Animals that came (`added`), went (`moved`) or were lost; `name` "" where no known animal was named."""

    what: str
    name: str
    tank: str
    count: int | None = None


@dataclass(frozen=True)
class Report:
    """All that a client reads of one visit. Times on the team's clock; `facts` are the entries that it came from."""

    client: str
    tanks: tuple[str, ...]
    start: datetime
    end: datetime
    who: tuple[str, ...]
    numbers: tuple[Number, ...] = ()
    deeds: tuple[Deed, ...] = ()
    creatures: tuple[Creature, ...] = ()
    broken: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    please: tuple[str, ...] = ()
    next: str | None = None
    facts: tuple[int, ...] = ()


def reported(team: Team, tank: Tank | None) -> bool:
    """Whether a client reads reports of the tank: not of quarantine, nor of the team's own tanks."""
    own, client = table("report")["own"], team.client_of(tank)
    if tank is None or client is None or tank.kind in own["kinds"]:
        return False
    return client.name.casefold() not in own["clients"] and client.data.get("report") is not False


def made(tanks: Sequence[Tank], facts: Sequence[Kept], head: Report) -> Report:
    """The report of a visit: `head` says whose, when, by whom, what stands open and comes next (an earlier version of
    it does); the facts fill it.
    """
    numbers = [n for tank in tanks for n in _numbers(tank, facts)]
    used = [f for f in facts if not (isinstance(f.item, Reading) and f.item.unconfirmed)]
    here = {getattr(f.item, k, None) for f in used for k in ("tank", "from_tank", "to_tank")}
    return replace(
        head,
        tanks=tuple(t.name for t in tanks if t.name in (*here, *head.tanks)),
        numbers=tuple(_the_most_telling(numbers, head.numbers)),
        deeds=tuple(d for tank in tanks for d in _deeds(tank, _events(tank, facts))),
        creatures=tuple(c for tank in tanks for c in _creatures(tank, facts)),
        broken=tuple(dict.fromkeys(b for tank in tanks for b in _broken(_events(tank, facts)))),
        facts=tuple(sorted(f.id for f in used)),
    )


def tells(report: Report) -> bool:
    """Whether there is anything in it that a client would read."""
    return any((report.numbers, report.deeds, report.creatures, report.broken, report.left))


def left_on(open_now: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """What the client must leave alone: (kind of wait, open end) of all that still runs, in the client's words."""
    said = table("report")["left"]
    return tuple(dict.fromkeys(str(said[k]) for pair in open_now for k in reversed(pair) if k in said))


def _events(tank: Tank, facts: Iterable[Kept]) -> list[Event]:
    found = [f.item for f in facts if isinstance(f.item, Event)]
    return [e for e in found if tank.name in (e.tank, e.from_tank, e.to_tank)]


def _numbers(tank: Tank, facts: Iterable[Kept]) -> list[Number]:
    """The last confirmed value of each test that has a range to be held against."""
    seen: dict[str, list[Seen]] = {}
    for f in sorted(facts, key=lambda f: (f.at, f.id), reverse=True):
        item = f.item
        if isinstance(item, Reading) and item.tank == tank.name and item.of == "tank" and not item.unconfirmed:
            seen.setdefault(item.parameter, []).append(Seen(f.at, item))
    shown = [p for p in table("report")["tests"] if p in seen]
    return [n for p in shown if (n := _number(tank, seen[p][0], Record(seen)))]


def _number(tank: Tank, seen: Seen, record: Record) -> Number | None:
    item = seen.reading
    if range_for(tank, item.parameter) is None and alarm_for(tank, item.parameter) is None:
        return None
    wrong = [v for v in judge(item, seen.at, tank, record, stands=True) if v.kind in _WRONG]
    return Number(
        item.parameter, item.value, item.unit, tank.name, not wrong, item.below, item.above, item.low, item.high,
        item.basis,
    )  # fmt: skip


def _the_most_telling(numbers: Sequence[Number], shown: Sequence[Number]) -> list[Number]:
    """At most four: what is not as it should be first, then what an earlier version showed; in the table's order."""
    order, before = list(table("report")["tests"]), {(n.parameter, n.tank) for n in shown}
    ranked = sorted(numbers, key=lambda n: (n.fine, (n.parameter, n.tank) not in before, order.index(n.parameter)))
    first = ranked[: table("report")["most"]["numbers"]]
    return [n for n in numbers if n in first]


def _deeds(tank: Tank, events: Sequence[Event]) -> list[Deed]:
    """What was done at a tank, each once, in the order of the table."""
    found: dict[str, float] = {}
    for event in events:
        said = said_of(event)
        if said:
            found[said] = found.get(said, 0.0) + share_changed(tank, event)
    order = [row["says"] for row in table("report")["done"]]
    ranked = sorted(found, key=lambda said: order.index(said) if said in order else len(order))
    return [Deed(said, tank.name, min(found[said], 1.0)) for said in ranked]


def said_of(event: Event) -> str | None:
    """The client's phrase for an event; None for what does not concern a client."""
    if event.event != "equipment" and (event.open or event.closes):
        return None
    if event.event == "equipment":
        machine, done = _machine(event), table("report")["machine_done"].get(event.state)
        return done.format(what=machine) if machine and done else None
    rows = [row for row in table("report")["done"] if row["event"] == event.event]
    return next((str(row["says"]) for row in rows if _fits(row, event)), None)


def _fits(row: dict[str, str], event: Event) -> bool:
    if "kind" in row:
        return row["kind"] == _kind_of_dose(event)
    return "words" not in row or says(event.subject or "", row["words"])


def _kind_of_dose(event: Event) -> str | None:
    subject = event.subject or ""
    if medicines.named(subject):
        return "medicine"
    raises = table("doubles")["raises"]
    minerals = [w for name in ("alkalinity", "calcium", "magnesium", "both") for w in raises[name]]
    return "minerals" if says(subject, ", ".join(minerals)) else None


def _machine(event: Event) -> str | None:
    machines = table("report")["machines"]
    return next((name for name, words in machines.items() if says(event.subject or "", words)), None)


def _broken(events: Sequence[Event]) -> list[str]:
    """Machines that broke and were not put right in the same visit."""
    state: dict[str, str] = {}
    for event in events:
        machine = _machine(event) if event.event == "equipment" and event.state else None
        if machine and event.state:
            state[machine] = event.state
    return [machine for machine, last in state.items() if last == "broken"]


def _creatures(tank: Tank, facts: Sequence[Kept]) -> list[Creature]:
    """Animals that came, went or were lost; those let out of a bag count where nobody said "added" of them."""
    told = [c for event in _events(tank, facts) if (c := _creature(tank, event))]
    said = {c.name for c in told if c.what == "added"}
    let_out = [_let_out(tank, f.item) for f in facts if isinstance(f.item, Control) and f.item.tank == tank.name]
    return [*told, *(c for c in let_out if c and not said)]


def _creature(tank: Tank, event: Event) -> Creature | None:
    what = _WHAT.get(event.event)
    if event.event == "livestock_moved":
        what = "added" if event.to_tank == tank.name else "moved"
    return Creature(what, animal_in(event.subject or "", tank), tank.name, event.count) if what else None


_WHAT = {"livestock_added": "added", "livestock_lost": "lost"}


def _let_out(tank: Tank, item: Control) -> Creature | None:
    """A bag or drip whose check was answered: "2 clowns"."""
    name = animal_in(item.subject or "", tank)
    if item.action != "done" or item.wait not in ("float", "drip") or not item.answers or not name:
        return None
    count = next((int(w) for w in (item.subject or "").split() if w.isdigit()), None)
    return Creature("added", name, tank.name, count)


def animal_in(subject: str, tank: Tank) -> str:
    """The words of a subject that name an animal, and no other word of it; "" where none does."""
    words = ["".join(c for c in w if c.isalpha() or c == "-") for w in subject.casefold().split()]
    known = _animal_words() | {w for each in tank.animals for w in str(each.get("name", "")).casefold().split()}
    named = [w for w in words if w in known or w.rstrip("s") in known]
    of_animals = {w for phrase in _phrases("animal") for w in phrase.split()} | (known - _animal_words())
    return " ".join(named) if any(w in of_animals or w.rstrip("s") in of_animals for w in named) else ""


def _animal_words() -> set[str]:
    return {w for group in ("animal", "which") for phrase in _phrases(group) for w in phrase.split()}


def _phrases(group: str) -> list[str]:
    rows = table("words_animals")[group].values()
    return [phrase.strip() for row in rows for phrase in " ".join(str(row).split()).split(",")]


@dataclass(frozen=True)
class Changed:
    """A point in which a later report differs from the one before: of a test, what was read and what it is now."""

    what: str
    before: Number | None = None
    now: Number | None = None


def changed(before: Report, now: Report) -> tuple[Changed, ...]:
    """What a corrected report says differently."""
    old = {(n.parameter, n.tank): n for n in before.numbers}
    new = {(n.parameter, n.tank): n for n in now.numbers}
    tests = [Changed("number", old.get(k), new.get(k)) for k in {**old, **new} if old.get(k) != new.get(k)]
    others = [Changed(part) for part in _PARTS if getattr(before, part) != getattr(now, part)]
    return (*tests, *others)


_PARTS = ("deeds", "creatures", "broken", "left", "please", "next", "who")


def as_data(report: Report) -> dict[str, Any]:
    """The report as plain data, times in ISO form."""
    return asdict(report) | {"start": report.start.isoformat(), "end": report.end.isoformat()}


def from_data(data: Mapping[str, Any]) -> Report:
    """The report that `as_data` wrote."""
    times: dict[str, Any] = {k: datetime.fromisoformat(data[k]) for k in ("start", "end")}
    things: dict[str, Any] = {k: tuple(shape(**each) for each in data[k]) for k, shape in _SHAPES.items()}
    rest: dict[str, Any] = {k: tuple(v) if isinstance(v, list) else v for k, v in data.items()}
    return Report(**(rest | times | things))


_SHAPES: dict[str, Any] = {"numbers": Number, "deeds": Deed, "creatures": Creature}
