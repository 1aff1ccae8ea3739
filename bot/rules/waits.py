"""The course of a wait: how long, how short, how long at most, when it may end and what follows. Lengths in minutes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.rules.words import says

DEFAULT_STEP = {"rinse_soak": "rinse"}


@dataclass(frozen=True)
class Kind:
    """What facts/waits.toml says of a kind of wait (or a step of it), with what the team sets instead."""

    key: str
    wait: str
    name: str
    quote: str
    bare: str
    end: str = "out"
    cls: str = "plain"
    early: str = "free"
    cut: tuple[str, ...] = ()
    ping: str = "OUT NOW"
    next: str = ""
    out: str = "Out"
    other: str | None = None
    over: str = ""
    default: float | None = None
    shortest: float = 0.0
    longest: float | None = None
    follows: str | None = None
    course: str | None = None
    gate: str | None = None
    caution: str | None = None
    desk: str | None = None
    leave: bool = True
    ask_again: float | None = None
    asks: str = "How long?"
    alone: bool = False
    ordered: bool = False

    @property
    def step(self) -> str | None:
        """The step of a course that it is; None for a kind of its own."""
        return self.key if self.key != self.wait else None

    @property
    def hurts(self) -> bool:
        """Whether somebody must answer: it climbs to whoever can act."""
        return self.cls == "hurt"


@dataclass(frozen=True)
class Length:
    """How long a wait is to run. `note` says why that is not what was said: longest, shortest or sheet."""

    minutes: float
    note: str = ""
    by: str = ""


def kind_of(
    wait: str, step: str | None = None, subject: str | None = None, own: Mapping[str, Any] | None = None
) -> Kind:
    """The kind of a wait; `own` is the team's `waits` table, which goes before ours."""
    known = table("waits")
    key = step or DEFAULT_STEP.get(wait, wait)
    key = key if key in known and known[key].get("wait", key) == wait else wait
    kind = _kind(key)
    if key == "other":
        kind = _special(subject or "") or kind
    return _changed(kind, (own or {}).get(key, {}))


def length(kind: Kind, said: float | None, sheet: tuple[float, str] | None = None) -> Length | None:
    """How long it runs: what was said, else the sheet's or order's minutes, else the default; None: it must be asked.

    Never above the longest; below the shortest it pings when said, but does not end before the shortest.
    """
    if said is None and sheet:
        return Length(sheet[0], "sheet", sheet[1])
    minutes = kind.default if said is None else said
    if minutes is None:
        return None
    if kind.longest is not None and minutes > kind.longest:
        return Length(kind.longest, "longest")
    return Length(minutes, "shortest" if minutes < kind.shortest else "")


def after(start: datetime, minutes: float) -> datetime:
    """The instant so many elapsed minutes later, in UTC: clock changes do not touch it."""
    return start.astimezone(UTC) + timedelta(minutes=minutes)


def minutes_between(start: datetime, end: datetime) -> float:
    """Elapsed minutes."""
    return (end - start).total_seconds() / 60


def may_end(kind: Kind, started: datetime, at: datetime) -> bool:
    """Whether its shortest time has passed."""
    return kind.early == "free" or minutes_between(started, at) >= kind.shortest


def is_cut(kind: Kind, due: datetime, at: datetime) -> bool:
    """Whether ending it now cuts short a length that only some may cut."""
    return bool(kind.cut) and at < due


def extended(kind: Kind, started: datetime, due: datetime, now: datetime, more: float) -> datetime:
    """The new due time after `more` minutes, counted from now once it is over; never past the longest."""
    wanted = after(max(due, now), more)
    return wanted if kind.longest is None else min(wanted, after(started, kind.longest))


def leads_to(kind: Kind, key: str) -> bool:
    """Whether the step `key` comes later in the course of this kind."""
    follower = kind.follows
    while follower:
        if follower == key:
            return True
        follower = _kind(follower).follows
    return False


def minutes_of(key: str, own: Mapping[str, Any] | None = None) -> float:
    """The default minutes of a step, for the words of a ping."""
    return _changed(_kind(key), (own or {}).get(key, {})).default or 0.0


@cache
def _kind(key: str) -> Kind:
    row = table("waits")[key]
    return _from_row(key, row)


def _from_row(key: str, row: Mapping[str, Any]) -> Kind:
    known = {f.name for f in fields(Kind)}
    plain = {k: v for k, v in row.items() if k in known and not isinstance(v, dict | list)}
    limits = row.get("limits", {})
    return Kind(
        **({"wait": key} | plain | {"key": key}), cls=row["class"], cut=tuple(row.get("cut", ())),
        default=row.get("default", {}).get("value"), shortest=limits.get("shortest", 0.0),
        longest=limits.get("longest"), ask_again=row.get("ask_again", {}).get("value"),
    )  # fmt: skip


def _special(subject: str) -> Kind | None:
    """The `other` wait that has a row of its own, by the words of its subject."""
    row = next((r for r in table("waits")["others"] if says(subject, r["words"])), None)
    return _from_row("other", table("waits")["other"] | row) if row else None


def _changed(kind: Kind, own: Mapping[str, Any]) -> Kind:
    known = ("default", "shortest", "longest")
    return Kind(**(vars(kind) | {k: own[k] for k in known if k in own})) if own else kind
