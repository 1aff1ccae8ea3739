"""Short answers from the record: a series, a last value, who was there, what changed, what was touched, why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from bot.items import Control, Event, Item, Question, Reading, Wait
from bot.wording import entries, quantities
from bot.wording.undoing import piece

NOTHING = "nothing on record."


@dataclass(frozen=True)
class Entry:
    """A fact on the team's clock."""

    at: datetime
    who: str
    item: Item
    void: bool = False


def series(tank: str, parameter: str, found: Sequence[Entry], today: date) -> list[str]:
    """The latest values, newest first: "Oak lobby, NO3: 12 today, 9 on Tue 3 Mar mg/L"; the unit at each where they
    differ.
    """
    name = quantities.full_name(parameter)
    if not found:
        return [f"{tank}: no {name} on record."]
    units = {e.item.unit for e in found if isinstance(e.item, Reading)}
    alike = len(units) == 1
    values = ", ".join(f"{_value(e, not alike)} {_on(e.at.date(), today)}" for e in found)
    return [f"{tank}, {name}: {values}{f' ({_unit(units.pop())})' if alike and _unit(next(iter(units))) else ''}"]


def _unit(unit: str) -> str:
    return "SG" if unit == "SG" else quantities.unit_word(unit)


def last_value(tank: str, parameter: str, found: Sequence[Entry], today: date) -> list[str]:
    """The last value that somebody stands by: "Oak lobby: 78.4 °F, today 08:41, Ana"."""
    if not found:
        return [f"{tank}: no {quantities.full_name(parameter)} on record."]
    last = found[0]
    return [f"{tank}: {_piece(last.item)}, {_when(last.at, today)}, {entries.name(last.who)}"]


def of_day(tank: str, parameter: str, found: Sequence[Entry], day: date) -> list[str]:
    """What was measured on a day, in the order measured; said too where nothing was."""
    on = f"{day:%a} {short_day(datetime(day.year, day.month, day.day))}"
    if not found:
        return [f"{tank}: no {quantities.full_name(parameter)} on record for {on}."]
    told = [f"{_piece(e.item)} ({e.at:%H:%M}, {entries.name(e.who)})" for e in reversed(found)]
    return [f"{tank}, {on}: {' · '.join(told)}"]


def extremes(tank: str, parameter: str, found: Sequence[Entry], today: date, days: float | None) -> list[str]:
    """Highest, lowest and mean of a test; of values in several units only the two ends of each."""
    values = [e for e in found if isinstance(e.item, Reading)]
    span = f"last {days:g} days" if days else "all on record"
    if not values:
        return [f"{tank}: no {quantities.full_name(parameter)} on record ({span})."]
    unit = Counter(e.item.unit for e in values if isinstance(e.item, Reading)).most_common(1)[0][0]
    same = [(e.item.value, e) for e in values if isinstance(e.item, Reading) and e.item.unit == unit]
    (low, least), (high, most) = min(same, key=lambda v: v[0]), max(same, key=lambda v: v[0])
    mean = quantities.as_instrument(sum(v for v, _ in same) / len(same), unit)
    ends = f"highest {quantities.in_unit(high, unit)} {_on(most.at.date(), today)}"
    ends += f", lowest {quantities.in_unit(low, unit)} {_on(least.at.date(), today)}, mean {mean} {_unit(unit)}"
    left = len(values) - len(same)
    more = f"; {left} in other units left out" if left else ""
    return [f"{tank}, {quantities.full_name(parameter)}: {ends.strip()} ({len(same)} tests, {span}{more})"]


def last_readings(tank: str, found: Sequence[Entry], today: date) -> list[str]:
    """The last value of each parameter, with its day where they differ."""
    if not found:
        return [f"{tank}: nothing measured yet."]
    newest = found[0].at.date()
    pieces = [_piece(e.item) + ("" if e.at.date() == newest else f" ({_on(e.at.date(), today)})") for e in found]
    return [f"{tank}, {_on(newest, today)}: {' · '.join(pieces)}"]


def last_event(tank: str, name: str, found: Sequence[Entry], today: date) -> list[str]:
    """When something was last done: "Oak lobby: water change 20 %, Tue 3 Mar, Ana (7 days)"."""
    if not found:
        return [f"{tank}: no {name} on record."]
    last = found[0]
    days = (today - last.at.date()).days
    ago = f" ({days} day{'s' * (days != 1)})" if days else ""
    return [f"{tank}: {_piece(last.item)}, {_when(last.at, today)}, {entries.name(last.who)}{ago}"]


def visit(tank: str, found: Sequence[Entry], today: date) -> list[str]:
    """Who was there last and what was done, in at most three lines."""
    if not found:
        return [f"{tank}: no visit on record."]
    first, last = found[-1], found[0]
    days = (today - last.at.date()).days
    names = ", ".join(dict.fromkeys(entries.name(e.who) for e in found))
    ago = "today" if not days else f"{days} day{'s' * (days != 1)} ago"
    span = f"{first.at:%H:%M}" + (f" to {last.at:%H:%M}" if f"{last.at:%H:%M}" != f"{first.at:%H:%M}" else "")
    day = "" if not days else f"{entries.day(last.at.date(), today)} "
    done = [_piece(e.item) for e in reversed(found) if not isinstance(e.item, Reading)]
    measured = [_piece(e.item) for e in reversed(found) if isinstance(e.item, Reading)]
    told = [f"Done: {', '.join(done)}"] * bool(done) + [f"Measured: {' · '.join(measured)}"] * bool(measured)
    return [f"{tank}: {names}, {day}{span} ({ago})", *told]


def changed_head(tank: str, days: float | None, since: datetime) -> str:
    """What the list is of."""
    return f"{tank}, last {days:g} days, newest first" if days else f"{tank} since {short_day(since)}, newest first"


def short_day(when: datetime) -> str:
    """ "3 Mar"."""
    return f"{when.day} {when:%b}"


def by_day(head: str, found: Sequence[Entry], today: date) -> list[str]:
    """A line a day, newest first: "Tue 3 Mar: 08:42 water change 20 % · 08:50 fed (Ana)"."""
    if not found:
        return [f"{head}: {NOTHING}"]
    days: dict[date, list[Entry]] = {}
    for entry in found:
        days.setdefault(entry.at.date(), []).append(entry)
    lines = [f"{_day(day, today)}: {' · '.join(_told(each))}" for day, each in days.items()]
    return [head, *lines[: _DAYS - 1], *([" | ".join(lines[_DAYS - 1 :])] * (len(lines) >= _DAYS))]


_DAYS = 5  # lines of days; the oldest days share the last, so that a week stands in one message


def _told(found: Sequence[Entry]) -> Iterable[str]:
    """Each entry with its time; the person behind the last of a row that is the same person's."""
    for entry, following in zip(found, [*found[1:], None], strict=True):
        who = f" ({entries.name(entry.who)})" if following is None or following.who != entry.who else ""
        yield f"{entry.at:%H:%M} {_piece(entry.item)}{who}"


def contacts(head: str, found: Sequence[Entry], today: date) -> list[str]:
    """A dated list of places, newest first."""
    if not found:
        return [f"{head}: {NOTHING}"]
    return [
        head,
        *(f"{entries.clock(e.at, today)} {_place(e.item)}: {_piece(e.item)} ({entries.name(e.who)})" for e in found),
    ]


def _place(item: Item) -> str:
    """Where it was; of a move, where to."""
    start, end = getattr(item, "tank", None), getattr(item, "to_tank", None)
    return (
        f"{start} to {end}"
        if start and end and start != end
        else str(start or end or getattr(item, "vat", None) or "no tank")
    )


def batch(number: int | None, made: Entry, fine: Sequence[Entry], untested: Sequence[Entry]) -> list[str]:
    """ "Batch 14 (Tue 17:50) went to 4 tanks:" with those tested fine since, and those to be tested."""
    tanks = list(dict.fromkeys(str(getattr(e.item, "tank", None)) for e in (*fine, *untested)))
    went = f"went to {len(tanks)} tank{'s' * (len(tanks) != 1)}" if tanks else "went to no tank yet"
    head = f"Batch {number or ''} ({made.at:%a %H:%M}, {getattr(made.item, 'vat', None) or 'no vat'}) {went}"
    return [
        head.replace("  ", " "),
        *([f"Tested fine since: {', '.join(map(_drawn, fine))}"] * bool(fine)),
        *([f"Next: test {', '.join(map(_drawn, untested))}"] * bool(untested)),
    ]


def _drawn(entry: Entry) -> str:
    item = entry.item
    amount = quantities.quantity(item.amount, item.unit) if isinstance(item, Event) and item.amount is not None else "?"
    return f"{getattr(item, 'tank', None)} ({entry.at:%a}, {amount})"


def trail_head(tank: str, day: date) -> str:
    """Which day's trail it is."""
    return f"{tank} {day:%a} {day.day} {day:%b} {day.year}, in the order said"


def trail_line(who: str, words: str, written: datetime, came: datetime, read: Sequence[str]) -> str:
    """A message with its person, its times, its words, and what was read from it."""
    late = f", arrived {came:%a %H:%M}" if came.date() != written.date() else f", arrived {came:%H:%M}"
    times = f"{written:%H:%M}" + (late if f"{came:%H:%M}" != f"{written:%H:%M}" else "")
    shown = words if len(words) <= _WORDS else f"{words[:_WORDS]}…"
    return f'{times} {entries.name(who) or "The bot"} "{shown}": {" · ".join(read)}'


_WORDS = 120


def trailed(item: Item, fate: Sequence[tuple[str, str, datetime]]) -> str:
    """An entry and what became of it: "alk 3.8 dKH (correction 08:47 Ana)"."""
    became = ", ".join(f"{reason} {at:%H:%M} {entries.name(who)}".strip() for reason, who, at in fate)
    return _piece(item) + (f" ({became})" if became else "")


def none_done(tank: str, event: str, day: date | None) -> str:
    """Nothing of the kind that day."""
    when = f" on {day.day} {day:%b}" if day else ""
    return f"{tank}: no {event.replace('_', ' ')} on record{when}."


def done_line(tank: str, entry: Entry, today: date, count: int) -> str:
    """What was done, by whom, and whether there were more that day."""
    more = f" ({count - 1} more that day)" if count > 1 else ""
    return f"{tank} {_when(entry.at, today)}: {_piece(entry.item)}, {entries.name(entry.who)}{more}"


def because(found: Sequence[Entry], today: date) -> list[str]:
    """The readings before it."""
    pieces = [f"{_piece(e.item)} {_when(e.at, today)} ({entries.name(e.who)})" for e in found]
    return [f"Before it: {' · '.join(pieces)}"] if pieces else ["Before it: no reading on record."]


def worked_out(found: Sequence[tuple[datetime, str, Item, Mapping[str, Any]]], today: date) -> list[str]:
    """The sums asked for before it: "Asked 08:44 (Ana): dose 7.46 g"."""
    pieces = [
        f"{_when(at, today)} ({entries.name(who)}): {item.topic.replace('_', ' ')} {_figure(data)}"
        for at, who, item, data in found if isinstance(item, Question) and data.get("figures")
    ]  # fmt: skip
    return [f"Asked {' · '.join(pieces)}"] if pieces else []


def _figure(data: Mapping[str, Any]) -> str:
    first = data["figures"][0]
    return quantities.quantity(float(f"{first['value']:.3g}"), first["unit"])


def overridden_by(found: Sequence[Entry]) -> list[str]:
    """Who went on past a gate, and why."""
    pieces = [f"{entries.name(e.who)}: {e.item.reason}" for e in found if isinstance(e.item, Control) and e.item.reason]
    return [f"OVERRIDDEN {' · '.join(pieces)}"] if pieces else []


def _piece(item: Item) -> str:
    match item:
        case Reading():
            return quantities.reading(item) + (" (unconfirmed)" if item.unconfirmed else "")
        case Wait():
            return " ".join(filter(None, (item.subject, item.wait.replace("_", " "))))
        case Control(action="done" | "stop" | "answer" | "override" as action):
            return " ".join(filter(None, (item.subject, (item.wait or "").replace("_", " "), _DID[action])))
    return piece(item)


_DID = {"done": "done", "stop": "stopped", "answer": "answered", "override": "OVERRIDDEN"}


def _value(entry: Entry, with_unit: bool) -> str:
    item = entry.item
    assert isinstance(item, Reading)
    if item.beyond:
        return "off the chart"
    sign = "<" * item.below + ">" * item.above
    unit = f" {_unit(item.unit)}".rstrip() if with_unit else ""
    return f"{sign}{quantities.in_unit(item.value, item.unit)}{unit}" + ("?" if item.unconfirmed else "")


def _day(when: date, today: date) -> str:
    words = entries.day(when, today)
    return words[:1].upper() + words[1:]


def _when(at: datetime, today: date) -> str:
    return f"{entries.day(at.date(), today)} {at:%H:%M}"


def _on(when: date, today: date) -> str:
    words = entries.day(when, today)
    return words if words in ("today", "yesterday") else f"on {words}"
