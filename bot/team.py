"""Who and what a team has: people, clients, tanks and vats, as section 4 of the machine-readable face writes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from bot.items import Quantity

DESK = "client"
ROLES = ("technician", "office", "owner", "learner")


@dataclass(frozen=True)
class Person:
    """Someone on the team list. `data` keeps what was set beside the named keys (quiet hours, backup, van ...)."""

    name: str
    role: str = "technician"
    units: str | None = None
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Client:
    """Whose tanks they are. `water` is what is known of the tap; `chloramine` None where nobody said."""

    name: str
    address: str | None = None
    contact: str | None = None
    water: Mapping[str, Quantity] = field(default_factory=dict)
    chloramine: bool | None = None
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Limits:
    """A tank's own range of a parameter, in `unit`, and the fastest change a day."""

    low: float | None
    high: float | None
    unit: str
    most_per_day: float | None = None


@dataclass(frozen=True)
class Tank:
    """A tank in care. `volume` is the net water; `ranges` overrule those of its kind; `data` holds every other key."""

    name: str
    client: str | None = None
    kind: str | None = None
    volume: Quantity | None = None
    nicknames: tuple[str, ...] = ()
    animals: tuple[Mapping[str, Any], ...] = ()
    invertebrates: bool | None = None
    ranges: Mapping[str, Limits] = field(default_factory=dict)
    orders: tuple[Mapping[str, Any], ...] = ()
    every_days: float | None = None
    weekday: str | None = None
    notes: str | None = None
    panel: tuple[str, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Vat:
    """A container of new water at the shop."""

    name: str
    volume: Quantity | None = None
    holds: str | None = None
    fills_at: Quantity | None = None
    notes: str | None = None
    data: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Team:
    """Everything on the team's list that is in force."""

    name: str = "the team"
    units: str = "us"
    zone: str = "America/New_York"
    people: tuple[Person, ...] = ()
    clients: tuple[Client, ...] = ()
    tanks: tuple[Tank, ...] = ()
    vats: tuple[Vat, ...] = ()
    data: Mapping[str, Any] = field(default_factory=dict)
    desks: tuple[Person, ...] = ()

    def tank(self, name: str | None) -> Tank | None:
        """The tank of that full name."""
        return next((t for t in self.tanks if t.name == name), None)

    def person(self, name: str | None) -> Person | None:
        """The person of that name, capitals aside."""
        wanted = (name or "").casefold()
        return next((p for p in self.people if p.name.casefold() == wanted), None)

    def desk(self, name: str) -> Person | None:
        """The client's front desk of that name: it may tell us something, and is nobody of the team."""
        return next((d for d in self.desks if d.name.casefold() == name.casefold()), None)

    def client_of(self, tank: Tank | None) -> Client | None:
        """The client whose tank it is."""
        return next((c for c in self.clients if tank and c.name == tank.client), None)

    def vat(self, name: str | None) -> Vat | None:
        """The vat of that full name."""
        return next((v for v in self.vats if v.name == name), None)

    def with_role(self, *roles: str) -> tuple[Person, ...]:
        """The people who have one of the roles, in the order of the list."""
        return tuple(p for p in self.people if p.role in roles)


def person_from(data: Mapping[str, Any]) -> Person:
    """A person of the team's JSON."""
    return Person(name=data["name"], role=data.get("role", "technician"), units=data.get("units"), data=data)


def client_from(data: Mapping[str, Any]) -> Client:
    """A client of the team's JSON."""
    water = {w["parameter"]: Quantity(w["value"], w["unit"]) for w in data.get("water", ())}
    known = {k: data.get(k) for k in ("address", "contact", "chloramine")}
    return Client(name=data["name"], water=water, data=data, **known)


def tank_from(data: Mapping[str, Any]) -> Tank:
    """A tank of the team's JSON."""
    known: dict[str, Any] = {k: data.get(k) for k in ("client", "kind", "every_days", "weekday", "notes")}
    lists: dict[str, Any] = {k: tuple(data.get(k, ())) for k in ("nicknames", "animals", "orders", "panel")}
    return Tank(
        name=data["name"],
        volume=quantity_from(data.get("volume")),
        invertebrates=data.get("invertebrates"),
        ranges={name: limits_from(limits) for name, limits in data.get("ranges", {}).items()},
        data=data,
        **known,
        **lists,
    )


def vat_from(data: Mapping[str, Any]) -> Vat:
    """A vat of the team's JSON."""
    return Vat(
        name=data["name"], volume=quantity_from(data.get("volume")), holds=data.get("holds"),
        fills_at=quantity_from(data.get("fills_at")), notes=data.get("notes"), data=data,
    )  # fmt: skip


def limits_from(data: Mapping[str, Any]) -> Limits:
    """A range of the team's JSON."""
    return Limits(data.get("low"), data.get("high"), data["unit"], data.get("most_per_day"))


def quantity_from(data: Mapping[str, Any] | None) -> Quantity | None:
    """A quantity of the team's JSON, None where it is absent."""
    return Quantity(float(data["value"]), data["unit"]) if data else None
