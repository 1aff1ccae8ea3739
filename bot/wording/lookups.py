"""Answers to everyday questions about a tank, the round and the team; what is said where there is no answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from bot.items import Event, Quantity, Reading
from bot.team import Limits
from bot.wording.entries import day, name
from bot.wording.history import Entry
from bot.wording.quantities import full_name, in_unit, number, quantity, reading, unit_word
from bot.wording.undoing import piece

UNKNOWN = "I have no answer to that; nothing was stored."
NOT_ASKED = "Ok. Nothing waits for an answer from you, and nothing was stored."
NAME = "I am this team's record: what you text me is kept, waits ring here, sums are worked out. No person reads along."
NO_SUM = "No sum of yours just now to work out anew. Ask it in full, such as: salt for 40 L to 1.025."
NO_ENDS = "No end of a contract, key or code on file."
WHICH_CLIENT = "Which client? Send the name of a tank there with it."
WHICH_TEST = "Which test? Send it with it, such as: compare no3."
_CAN = {
    "technician": 'Ask such as: "last no3 corridor", "today", "what\'s in vat 1", "salt for 40 L to 1.025"; or: help',
    "office": 'Ask such as: "who goes to corridor", "next visit corridor", "overdue", "who was there last"; or: help',
    "owner": 'Ask such as: "week", "worst tanks", "losses this month", "overrides", "costs", "who is out"; or: help',
}


@dataclass(frozen=True)
class Range:
    """What a test should show; `own` where the team agreed on it for this very tank."""

    parameter: str
    limits: Limits | None
    own: bool


def which_number(value: Quantity, could: Sequence[Quantity | str]) -> str:
    """A number that has no place in the last sum, or several."""
    of = " or ".join(_amount(each) for each in could if isinstance(each, Quantity))
    place = f" in place of {of}" if of else ", for which number of the last sum"
    return f"{_amount(value)}{place}? Ask the sum anew in full."


def asked_anew(value: Quantity, old: Quantity | str | None) -> str:
    """What was put in place of what."""
    return f"with {_amount(value)}" + (f" in place of {_amount(old)}" if isinstance(old, Quantity) else "")


def _amount(of: Quantity) -> str:
    return quantity(of.value, of.unit) if of.unit else number(of.value)


def can_ask(role: str) -> str:
    """What somebody of that role may ask, by example."""
    return _CAN.get(role, _CAN["technician"])


def greeting(role: str) -> str:
    """To words that are no entry: what to send, in one line."""
    first = {"office": "overdue", "owner": "week"}.get(role, "today")
    return f'Nothing to store in that. Send what you see or do, such as "ph 8.2" or "20% wc"; or: {first}, help.'


def time(now: datetime) -> str:
    """The team's clock."""
    return f"{now:%H:%M}, {now:%a} {now.day} {now:%b}."


def how(tank: str, watch: str | None, last: date | None, following: date | None, today: date) -> str:
    """ "Quillow lobby: NO3 rising; last Tue 3 Mar, next Tue 17 Mar"."""
    seen = f"last {day(last, today)}" if last else "no visit on record"
    return f"{tank}: {watch or 'nothing to watch'}; {seen}" + (f", next {day(following, today)}" if following else "")


def volume(tank: str, known: Quantity | None) -> str:
    """The water on file."""
    if known is None:
        return f'{tank}: no volume on file. Send it, such as "net volume 90 gal".'
    litres, gallons = ("L", "gal") if known.unit == "gal" else ("gal", "L")
    other = known.value * _LITRES if litres == "L" else known.value / _LITRES
    return f"{tank}: {quantity(known.value, gallons)} ({quantity(float(f'{other:.3g}'), litres)}), on file"


_LITRES = 3.785411784


def that_water(item: Event, part: str, whole: str) -> str:
    """ "Quillow lobby: water change 20 % = 19 gal of 95 gal"."""
    return f"{item.tank}: {piece(item)} = {part} of {whole}"


def limits(tank: str, found: Sequence[Range]) -> str:
    """ "Quillow lobby: alk 7.5 to 9 dKH (own)"."""
    said = [f"{full_name(each.parameter)} {_span(each)}" for each in found]
    return f"{tank}: {', '.join(said) or 'no limits of its own'}"


def _span(each: Range) -> str:
    if each.limits is None:
        return "no limits on file"
    whose = "this tank's own" if each.own else "usual for its kind"
    return f"{_ends(each.limits)} ({whose})"


def _ends(found: Limits) -> str:
    unit = unit_word(found.unit)
    low, high = (None if end is None else _rounded(end) for end in (found.low, found.high))
    bounds = f"{low} to {high}" if low and high else f"from {low}" if low else f"up to {high}"
    return f"{'SG ' if found.unit == 'SG' else ''}{bounds} {unit}".strip()


def _rounded(value: float) -> str:
    return number(float(f"{value:.4g}"))


def verdict(tank: str, parameter: str, last: Entry | None, should: Range, today: date) -> str:
    """ "Quillow lobby: alk 8.4 dKH yesterday; should be 7.5 to 9 dKH (this tank's own)"."""
    if last is None or not isinstance(last.item, Reading):
        return f"{tank}: no {full_name(parameter)} on record; {_span(should)}"
    return f"{tank}: {reading(last.item)} {day(last.at.date(), today)} {last.at:%H:%M}; should be {_span(should)}"


def notes(tank: str, found: Sequence[str], watch: str | None) -> str:
    """What is noted about a place, and what to watch there."""
    told = [text.rstrip(".") for text in found if text] + ([f"watch {watch}"] if watch else [])
    return f"{tank}: {'. '.join(told) or 'no notes on file'}"


def minutes(tank: str, took: float, learned: bool) -> str:
    """How long a visit takes."""
    return f"{tank}: about {took:.0f} min a visit, {'as the last ones took' if learned else 'the usual time'}"


def panel(tank: str, tests: Sequence[str]) -> str:
    """What is usually tested."""
    return f"{tank}: {', '.join(map(full_name, tests)) or 'no usual tests on file'}"


def contact(client: str, address: str | None, person: str | None) -> str:
    """Where a client is, and whom to ask for."""
    return f"{client}: {' · '.join(t for t in (address, person) if t) or 'no address and no contact on file'}"


def ends(client: str, found: Sequence[tuple[str, date]], today: date) -> str:
    """When a contract, a key, a code ends."""
    told = ", ".join(f"{what} ends {day(when, today)}" for what, when in found)
    return f"{client}: {told or 'no end of a contract, key or code on file'}"


def jobs(tank: str | None, found: Sequence[str]) -> str:
    """What is to be done."""
    of = tank or "Your jobs"
    return f"{of}: {' · '.join(found)}" if found else f"{of}: no open job"


def next_visits(found: Sequence[tuple[str, date, str | None]], more: int, today: date) -> str:
    """ "Quillow lobby: Tue 17 Mar (Ines)", a line a stop."""
    lines = [f"{place}: {day(when, today)} ({name(who) if who else 'nobody is there'})" for place, when, who in found]
    return "\n".join([*lines, *([f"and {more} more"] if more > 0 else [])]) or "No visit planned."


def team(of: date, stops_of: Mapping[str, int], away: Sequence[str], works: bool, today: date) -> str:
    """ "Today: Ines 3 stops, Petra; away: Tomasz"."""
    there = ", ".join(f"{name(who)}{f' {n} stop' + 's' * (n != 1) if n else ''}" for who, n in stops_of.items())
    out = f"away: {', '.join(map(name, away))}" if away else "nobody away"
    shut = "" if works else " (no working day)"
    return f"{name(day(of, today))}{shut}: {there or 'nobody works'}; {out}"


def is_away(who: str, of: date, today: date) -> str:
    """Somebody is not there on that day."""
    return f"{name(who)} is away {day(of, today)}."


def is_there(who: str, of: date, where: str | None, today: date) -> str:
    """Where the plan has somebody; nobody is followed."""
    return f"{name(who)} {day(of, today)}, by the plan: {where or 'no stops left'}"


def doings(who: str, since: date, found: Sequence[Entry], today: date) -> str:
    """What somebody put on record, a line a tank."""
    by_tank: dict[str, list[str]] = {}
    for each in found:
        by_tank.setdefault(getattr(each.item, "tank", None) or "no tank", []).append(piece(each.item))
    lines = [f"{tank}: {', '.join(said[:_MOST])}{_more(len(said))}" for tank, said in by_tank.items()]
    head = f"{name(who)}, {day(since, today)}:"
    return "\n".join([head, *lines[:_MOST]]) if lines else f"{head} nothing on record."


_MOST = 6


def _more(count: int) -> str:
    return f" and {count - _MOST} more" if count > _MOST else ""


def overdue(late: Sequence[tuple[str, int]], jobs_late: Sequence[str]) -> str:
    """Visits and jobs past their day."""
    tanks = [f"{tank} by {days} day{'s' * (days != 1)}" for tank, days in late]
    said = [f"Visits overdue: {', '.join(tanks) or 'none'}"]
    return "\n".join([*said, *([f"Jobs overdue: {', '.join(jobs_late)}"] if jobs_late else [])])


def trouble(ranked: Sequence[tuple[str, str]], more: bool) -> list[str]:
    """The tanks by trouble, a line each."""
    lines = [f"{place} {tank}: {text}" for place, (tank, text) in enumerate(ranked, start=1)]
    return lines or ([] if more else ["No tank in trouble by the last numbers."])


def losses(by_tank: Sequence[tuple[str, int]], since: date, today: date) -> str:
    """ "Lost since Sun 1 Mar: 3 (Quillow lobby 2, QT-1 1)"."""
    whole = sum(count for _, count in by_tank)
    of = ", ".join(f"{tank} {count}" for tank, count in by_tank)
    return (
        f"Lost since {day(since, today)}: {whole} ({of})"
        if whole
        else f"No losses on record since {day(since, today)}."
    )


def overrides(found: Sequence[tuple[date, str]], since: date, today: date) -> str:
    """Who went past a gate, a line each, the latest first."""
    lines = [f"{day(when, today)} {text}" for when, text in found]
    return "\n".join(lines) if lines else f"No gate overridden since {day(since, today)}."


def compare(parameter: str, rows: Sequence[tuple[str, Reading, bool]], count: int) -> str:
    """A test at several tanks, those outside their range first."""
    if not rows:
        return f"No {full_name(parameter)} on record at any tank."
    told = [f"{tank} {in_unit(item.value, item.unit)}{' (outside)' if out else ''}" for tank, item, out in rows]
    more = f" and {count - len(rows)} more" if count > len(rows) else ""
    return f"{full_name(parameter)}, last values: {', '.join(told)}{more}"
