"""The owner's cards: exceptions of the day, the week's tanks by trouble, the month in figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from bot.items import Control, Event, Reading
from bot.wording.batches import water
from bot.wording.entries import day, event, name
from bot.wording.quantities import reading

LINES = 5


@dataclass(frozen=True)
class Closed:
    """How a day ended: visits promised and done, those moved (with the new day) and those nobody did."""

    promised: int
    done: int
    moved: tuple[tuple[str, date], ...] = ()
    undone: tuple[str, ...] = ()


def closed(of: date, found: Closed) -> str:
    """ "Mon closed: 21 of 22 visits, 1 moved (Vantree, Thu 12 Mar)"."""
    if not found.promised:
        return f"{of:%a} closed, no visits planned"
    said = [f"{of:%a} closed: {found.done} of {found.promised} visits"]
    if found.moved:
        moved = ", ".join(f"{tank} {to:%a}" for tank, to in found.moved[:3])
        said.append(f"{len(found.moved)} moved ({moved})")
    if found.undone:
        said.append(f"not done: {_few(found.undone)}")
    return ", ".join(said)


def opening(of: date) -> str:
    """Over what happened since yesterday evening."""
    return f"{of:%a} early:"


def fitted(lines: Sequence[str | None]) -> str:
    """Five lines, nothing lost: what is over shares the last one."""
    said = [line for line in lines if line]
    return "\n".join([*said[: LINES - 1], *([" · ".join(said[LINES - 1 :])] if len(said) >= LINES else [])])


def point(place: str, text: str) -> str:
    """ "Tarnwick pH down 3rd visit (8, 7.9, 7.8)"."""
    return f"{place} {text}".strip()


def control(who: str, item: Control) -> str:
    """Who went past what, and with which reason: "Ines, Brindlemoor bar: net ("only 10 L top-off")"."""
    what = item.subject or (item.wait or "").replace("_", " ")
    place = f", {item.tank}" if item.tank else ""
    reason = f' ("{item.reason}")' if item.reason else ""
    return f"{name(who)}{place}: {what}{reason}"


def loss(item: Event) -> str:
    """ "Quarantine South 1 pajama cardinal"."""
    return f"{item.tank or ''} {item.count or 1} {item.subject or 'animal'}".strip()


def unconfirmed(item: Reading) -> str:
    """ "Quillow lobby alk 83 mg/L"."""
    return f"{item.tank or ''} {reading(item)}".strip()


def week(of: date, troubles: Sequence[tuple[str, str]]) -> str:
    """The tanks by trouble, with the reason in words."""
    said = [f"{i} {tank}: {text}" for i, (tank, text) in enumerate(troubles, start=1)]
    return f"Week to {of:%a} {of.day} {of:%b}: " + (" · ".join(said) if said else "no tank in trouble")


def times(planned_min: float, true_min: float) -> str | None:
    """Planned against true minutes."""
    if not true_min:
        return None
    return f"Visits: {true_min / 60:.1f} h, planned {planned_min / 60:.1f} h"


def water_ahead(litres: Sequence[tuple[str, float]], us: bool) -> str | None:
    """ "Water next week: 340 L salt"."""
    said = [f"{water(amount, us)} {kind}" for kind, amount in litres if amount]
    return f"Water next week: {', '.join(said)}" if said else None


def overdue(jobs: Sequence[str]) -> str | None:
    """Jobs that are late."""
    return f"Overdue: {_few(jobs)}" if jobs else None


def month(of: date, visits: int, late_visits: int) -> str:
    """ "Feb: 88 visits, 2 late"."""
    return f"{of:%b}: {visits} visit{'s' * (visits != 1)}" + (f", {late_visits} late" if late_visits else ", none late")


def lost(by_tank: Sequence[tuple[str, int]]) -> str:
    """Losses by tank."""
    whole = sum(count for _, count in by_tank)
    return f"Lost {whole}: {', '.join(f'{tank} {n}' for tank, n in by_tank[:4])}" if by_tank else "No losses"


def changed(litres: float, us: bool) -> str | None:
    """Water changed."""
    return f"Water changed: {water(litres, us)}" if litres else None


def supplies(cost: float, dearest: Sequence[tuple[str, float]]) -> str | None:
    """What was used up."""
    if not cost:
        return None
    return f"Supplies: {cost:.2f} ({', '.join(f'{tank} {each:.2f}' for tank, each in dearest[:2])})"


def against_price(rows: Sequence[tuple[str, float, float]]) -> str | None:
    """Time per client against what is paid: client, minutes, money."""
    said = [f"{client} {minutes / 60:.1f} h for {money:.2f}" for client, minutes, money in rows[:3]]
    return f"Time: {' · '.join(said)}" if said else None


def year(of: int, visits: int, losses: int, litres: float, us: bool) -> str:
    """A year in a line."""
    return f"{of}: {visits} visit{'s' * (visits != 1)}, {losses} lost, {water(litres, us)} changed"


def dated(opening_: str, found: Sequence[tuple[str, date]], today: date) -> str | None:
    """ "Ends: Quillow Dental contract Sat 9 May · ... and 2 more"; what is past says so."""
    said = [f"{what} {day(when, today)}{' (over)' if when < today else ''}" for what, when in found[:FEW]]
    more = f" and {len(found) - FEW} more" if len(found) > FEW else ""
    return f"{opening_}: {' · '.join(said)}{more}" if said else None


FEW = 3


def overridden(led: Sequence[str]) -> str | None:
    """The overrides of the year, the latest first, with what came after each."""
    more = f" and {len(led) - FEW} more" if len(led) > FEW else ""
    return f"{len(led)} override{'s' * (len(led) != 1)}: {' · '.join(led[:FEW])}{more}" if led else None


def restore_test(when: date | None, today: date, rows: int = 0, why: str = "") -> str:
    """Whether a copy of the record could be put back on an empty machine."""
    if when is None:
        return "Restore test: none yet"
    return f"Restore test {day(when, today)}: {f'NOT passed, {why}' if why else f'passed, {rows} rows'}"


def test_words(item: Reading) -> str:
    """A test in a few words."""
    return reading(item)


def led_to(who: str, item: Control, when: date, today: date, after: Sequence[str]) -> str:
    """An override and what happened at the tank in the days after it."""
    then = f"then {', '.join(after)}" if after else "nothing after it"
    return f"{day(when, today)} {control(who, item)}: {then}"


def event_words(item: Event) -> str:
    """An event in a few words."""
    return event(item)


def _few(called: Sequence[str]) -> str:
    more = f" and {len(called) - 4} more" if len(called) > 4 else ""
    return ", ".join(called[:4]) + more
