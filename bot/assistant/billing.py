"""O5: "billing march": the month as a table for each client, traced to its messages; nothing twice, nothing lost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.assistant.pictures import attached
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.rules import billing as rules
from bot.rules.billing import Billable, Month, Row, Terms
from bot.store import logbook, said
from bot.team import Client
from bot.wording import billing as wording

MAY = ("office", "owner")
MOST = 50_000
KINDS = ("reading", "event", "wait")


def take(turn: Turn, item: Item) -> list[Part]:
    """The month named, or the last one; noted as billed, so that what is told later comes with a later month."""
    assert isinstance(item, Control)
    if turn.who.role not in MAY:
        return [Part(head=wording.may_not())]
    first = _month(turn, item.subject)
    if first is None:
        return [Part(head=wording.no_month(item.subject or ""))]
    month = (first.year, first.month)
    rows = rules.rows_of(month, _facts(turn, first), _terms(turn), _billed(turn))
    if not rows:
        return [Part(head=wording.nothing(first))]
    turn.keep(Control("billing", subject=f"{first:%Y-%m}"))
    name = attached(turn, "billing", ending="csv", rows=_table(turn, first, rows))
    extras = [f"{r.client}: {r.what} {r.day.day} {r.day:%b}" for r in rows if "extra" in r.flag]
    late = sum("earlier" in r.flag for r in rows)
    credits = sum(r.kind == "credit" for r in rows)
    total = rules.total(rows)
    clients = len({r.client for r in rows})
    head, *lines = wording.billed(first, clients, len(rows), float(total) if total is not None else None, extras, late)
    lines += wording.credited(credits)
    return [Part(head=head, lines=tuple(lines), files=(name,), stored=True)]


def against_price(turn: Turn, first: date) -> list[tuple[str, float, float]]:
    """The clients with a price: minutes there in the month, and what they pay for it, the worst paid hour first."""
    rows = rules.rows_of((first.year, first.month), _facts(turn, first), _terms(turn), _billed(turn))
    found = []
    for client in dict.fromkeys(r.client for r in rows):
        own = [r for r in rows if r.client == client]
        minutes, money = sum(r.minutes or 0.0 for r in own), rules.total(own)
        if minutes > 0 and money:
            found.append((client, minutes, float(money)))
    return sorted(found, key=lambda each: each[2] / each[1])


def _month(turn: Turn, words: str | None) -> date | None:
    """The first day of the month meant: the latest of that name, the last one where none is named."""
    today = turn.local(turn.now).date()
    if not words:
        return (today.replace(day=1) - timedelta(days=1)).replace(day=1)
    known = {word: i for i, words_ in _names().items() for word in words_}
    number = known.get(words.strip().casefold())
    if number is None:
        return None
    return date(today.year if number <= today.month else today.year - 1, number, 1)


def _names() -> dict[int, list[str]]:
    told = table("words_times")["month"]
    return {int(number): [w.strip() for w in str(words).split(",")] for number, words in told.items()}


def _facts(turn: Turn, first: date) -> list[Billable]:
    """What was said of clients' tanks in this month and the one before the earliest that may still bring something."""
    start = datetime.combine((first - timedelta(days=400)), time(), turn.zone)
    end = datetime.combine((first + timedelta(days=32)).replace(day=1), time(), turn.zone)
    office = {p.name for p in turn.team.with_role("office")}
    facts = [f for k in KINDS for f in logbook.events(turn.db, None, since=start, until=end, kind=k, limit=MOST)]
    found = []
    for fact in [*facts, *logbook.voided(turn.db, KINDS, start, end)]:
        tank = turn.tank(getattr(fact.item, "tank", None))
        client = turn.team.client_of(tank)
        if tank and client and fact.at < end and fact.who not in office and not _is_note(fact.item):
            at = turn.local(fact.at)
            back = logbook.last_voided_by(turn.db, fact.id) if fact.void else None
            known = logbook.newest_by(turn.db, back) if back is not None else None
            found.append(
                Billable(fact.id, fact.message_id, client.name, tank.name, fact.who, at, fact.item, known, back)
            )
    return found


def _is_note(item: Item) -> bool:
    return getattr(item, "event", None) in ("note", "livestock_lost")


def _terms(turn: Turn) -> dict[str, Terms]:
    return {c.name: Terms(c.data.get("prices", {}), _every(turn, c)) for c in turn.team.clients}


def _every(turn: Turn, client: Client) -> float | None:
    """The days between two visits of a client: of its tank that is seen most often."""
    found = [float(t.every_days) for t in turn.team.tanks if t.client == client.name and t.every_days]
    return min(found) if found else None


def _billed(turn: Turn) -> dict[Month, int]:
    """By which fact each month was billed first."""
    found: dict[Month, int] = {}
    for fact in logbook.events(turn.db, None, ["billing"], kind="control", limit=MOST):
        if isinstance(fact.item, Control) and fact.item.subject:
            year, month = map(int, fact.item.subject.split("-"))
            found[year, month] = min(found.get((year, month), fact.id), fact.id)
    return found


def _table(turn: Turn, first: date, rows: Sequence[Row]) -> list[list[Any]]:
    """A row for each line of the bill, with the words that it rests on; then the sum of each client."""
    head = ["month", "client", "day", "kind", "what", "tanks", "who", "minutes", "quantity", "unit", "amount", "flag",
            "messages", "words"]  # fmt: skip
    lines: list[list[Any]] = [head, *(_line(turn, first, row) for row in rows)]
    for client in dict.fromkeys(r.client for r in rows):
        total = rules.total(r for r in rows if r.client == client)
        lines.append([f"{first:%Y-%m}", client, "", "sum", "", "", "", None, None, "", _text(total), "", "", ""])
    return lines


def _line(turn: Turn, first: date, row: Row) -> list[Any]:
    words = " | ".join(str(said.message(turn.db, m)["text"]) for m in row.messages[:_MOST_WORDS])
    minutes = None if row.minutes is None else round(row.minutes)
    return [
        f"{first:%Y-%m}", row.client, row.day.isoformat(), row.kind, row.what, ", ".join(row.tanks),
        ", ".join(row.who), minutes, row.quantity, row.unit, _text(row.amount), row.flag,
        " ".join(map(str, row.messages)), words,
    ]  # fmt: skip


_MOST_WORDS = 20


def _text(amount: object) -> str:
    return "" if amount is None else str(amount)
