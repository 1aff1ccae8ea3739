"""What is said about prices, contracts and the month's billing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from bot.wording.entries import day


def no_client(tank: str | None) -> str:
    """A price belongs to a client."""
    return f"{tank or 'That tank'} belongs to no client on the list. Nothing changed. First: new client ..."


def priced(client: str, values: Mapping[str, Any]) -> str:
    """ "Quillow Dental: 85.00 a visit"."""
    return f"{client}: {float(values['amount']):.2f} {_PER[str(values['per'])]}"


def ends(client: str, what: str, day_: date, today: date) -> str:
    """ "Quillow Dental: contract ends Tue 30 Jun"."""
    return f"{client}: {what} ends {day(day_, today)}"


_PER = {"visit": "a visit", "hour": "an hour", "month": "a month", "call_out": "a call-out"}


def billed(month: date, clients: int, rows: int, total: float | None, extras: Sequence[str], late: int) -> list[str]:
    """The month's billing: how much, and what must be decided first."""
    money = f", {total:.2f} in all" if total is not None else ", no prices on file"
    lines = [f"Billing {month:%B %Y}: {clients} client{'s' * (clients != 1)}, {rows} row{'s' * (rows != 1)}{money}"]
    if extras:
        more = f" and {len(extras) - 3} more" if len(extras) > 3 else ""
        lines.append(f"Contract or extra? {' · '.join(extras[:3])}{more}")
    if late:
        lines.append(f"{late} row{'s' * (late != 1)} of earlier months, told after their billing")
    return lines


def credited(count: int) -> list[str]:
    """Credits for what was taken back after its month was billed."""
    return [f"{count} credit{'s' * (count != 1)} for what was taken back after its month's billing"] if count else []


def no_month(words: str) -> str:
    """A month that is none."""
    return f'"{words}" is no month. Send: billing march'


def nothing(month: date) -> str:
    """Nothing was done in the month."""
    return f"Nothing to bill in {month:%B %Y}."


def may_not() -> str:
    """Billing is the office's."""
    return "Billing is for office or owner. Ask one of them to send it."
