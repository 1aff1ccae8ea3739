"""What a calculation takes and gives: Known facts of a tank in, a Working or a Problem out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bot.items import Quantity


@dataclass(frozen=True)
class Figure:
    """One result: `name` says of what, `unit` is a canonical unit of facts/units.toml or "" for a bare number."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True)
class Working:
    """A worked answer. The first figure is the answer; nothing in it is rounded."""

    topic: str
    figures: tuple[Figure, ...]
    steps: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """Why there is no answer: what was seen, why it cannot stand, what to send instead."""

    topic: str
    problem: str


@dataclass(frozen=True)
class Known:
    """What is on record about the tank that a question means; everything may be missing.

    volume_L      net water volume
    readings      last confirmed reading of each parameter
    targets       wanted value of each parameter
    most_per_day  fastest change that the team allows this tank, by parameter
    orders        a veterinarian's instructions on file, in words
    new_water     whether it is no tank but a vat, filled anew
    habit         "us" or "metric": only where the question leaves a unit open, and for how the answer is shown
    """

    tank: str | None = None
    tank_kind: str | None = None
    volume_L: float | None = None
    readings: Mapping[str, Quantity] = field(default_factory=dict)
    targets: Mapping[str, Quantity] = field(default_factory=dict)
    most_per_day: Mapping[str, Quantity] = field(default_factory=dict)
    invertebrates: bool | None = None
    salt_g_per_L_at_35: float | None = None
    hydrometer: str | None = None
    pressure_kPa: float | None = None
    orders: tuple[str, ...] = ()
    new_water: bool = False
    habit: str = "us"
