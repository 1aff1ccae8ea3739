"""What a team uses up: which supply words mean, how much of it an amount is, and what of it each entry takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from bot.facts.load import table
from bot.items import Batch, Control, Event, Item, Quantity, Reading, Stock, Wait
from bot.rules.words import covered, says
from bot.science.inputs import Unanswerable, in_unit
from bot.understanding.parameters import names_in
from bot.understanding.stock_things import SINGLE
from bot.understanding.tokens import tokenise

_SPOONS = ("tsp", "tbsp", "cup")
_TAKEN = ("took", "used")


@dataclass(frozen=True)
class Supply:
    """A supply: `unit` is what one of it is counted in (g, mL, "" for pieces and tests), `pack` how many in a pack.

    `assumed`: nobody said what a pack holds. `price` of a pack; `counted`: its use shows in other entries.
    """

    key: str
    name: str
    unit: str
    pack: float
    bare: str
    lead_days: float
    reserve_days: float
    price: float | None = None
    assumed: bool = False
    counted: bool = True
    parameter: str | None = None


@dataclass(frozen=True)
class Use:
    """What an entry takes of a supply. `shop`: it is taken there, not from a van. `assumed`: an amount not said."""

    key: str
    amount: float
    tank: str | None = None
    shop: bool = False
    assumed: bool = False


Own = Mapping[str, Mapping[str, Any]]


def supply_of(subject: str, own: Own) -> Supply:
    """The supply that words name, with what the team set of it."""
    return supply(key_of(subject), own)


def supply(key: str, own: Own) -> Supply:
    """The supply of that key."""
    return _supply(key, _frozen(own.get(key, {})))


@lru_cache(maxsize=4096)
def key_of(subject: str) -> str:
    """The key of the supply that words name: of the table, a kit by its test, else the words themselves."""
    parameter = _kit_of(subject)
    if parameter:
        return f"{parameter} kit"
    fitting = [(covered(subject, row["words"]), key) for key, row in _rows().items() if says(subject, row["words"])]
    if fitting:
        return max(fitting)[1]
    return " ".join(subject.casefold().split()).removesuffix("s") or "?"


def quantity(item: Stock, of: Supply) -> float | None:
    """How much of it a movement or count is, in its own unit; None where no amount was said, or one that cannot be."""
    if item.amount is None:
        return None
    if item.unit:
        return amount_in(item.amount, item.unit, of)
    single = item.pack in SINGLE or (not item.pack and of.bare == "each")
    return item.amount * (1.0 if single else of.pack)


def amount_in(amount: float, unit: str, of: Supply) -> float | None:
    """An amount with a unit as so much of the supply; a level spoon by its weight. None where it cannot be told."""
    row = _rows().get(of.key, {})
    try:
        if unit in _SPOONS and "spoon" in row:
            return in_unit(Quantity(amount, unit), "tsp", "amount") * float(row["spoon"]["value"])
        if of.unit == "" and "gram" in row:
            return in_unit(Quantity(amount, unit), "g", "amount") / float(row["gram"]["value"])
        return in_unit(Quantity(amount, unit), of.unit, "amount") if of.unit else None
    except Unanswerable:
        return None


def uses_of(item: Item, own: Own) -> Iterator[Use]:
    """What an entry takes of supplies, without anyone typing stock."""
    match item:
        case Batch(salt_g=float() | int() as grams):
            yield Use("salt", float(grams), None, shop=True)
        case Batch(subject="strip_clear" | "strip_colour"):
            yield Use("strips", 1.0, shop=True)
        case Reading():
            yield _of_test(item)
        case Control(action="done" | "answer", answers=answers):
            yield from _of_answers(item, answers)
        case Event(event="dose"):
            yield from _of_dose(item, own)
        case Event(event="filter_service", subject=str(subject)) if not (item.open or item.closes):
            yield from _of_service(item, subject, own)
        case Wait():
            yield from _of_wait(item)


def _of_test(item: Reading) -> Use:
    key = "strips" if item.parameter == "chlorine" else f"{item.parameter} kit"
    return Use(key, 1.0, item.tank, shop=item.of == "batch")


def _of_answers(item: Control, answers: tuple[str, ...]) -> Iterator[Use]:
    strips: list[str] = _rows()["strips"]["answers"]
    if set(answers) & set(strips):
        yield Use("strips", 1.0, item.tank)


def _of_dose(item: Event, own: Own) -> Iterator[Use]:
    of = supply_of(item.subject or "", own)
    if not _rows().get(of.key, {}).get("doses") or item.amount is None or not item.unit:
        return
    taken = amount_in(item.amount, item.unit, of)
    if taken is not None:
        yield Use(of.key, taken, item.tank)


def _of_service(item: Event, subject: str, own: Own) -> Iterator[Use]:
    """A swap of carbon: as told, in grams or bags; one where nothing was told."""
    of = supply_of(subject, own)
    if not _rows().get(of.key, {}).get("service"):
        return
    told = amount_in(item.amount, item.unit, of) if item.amount is not None and item.unit else item.amount
    yield Use(of.key, float(told or item.count or 1.0), item.tank, assumed=not (told or item.count))


def _of_wait(item: Wait) -> Iterator[Use]:
    """Bleach and neutraliser by the water of their bath."""
    for key, row in _rows().items():
        taken = row.get("wait", {})
        if taken.get("wait") == item.wait and taken.get("step") == (item.step if "step" in taken else None):
            litres = _litres(item)
            bath = litres if litres is not None else float(taken["assumed_L"])
            yield Use(key, bath * float(taken["per_L"]), item.tank, assumed=litres is None)


def _litres(item: Wait) -> float | None:
    if item.amount is None or not item.unit:
        return None
    try:
        return in_unit(Quantity(item.amount, item.unit), "L", "amount")
    except Unanswerable:
        return None


def _kit_of(subject: str) -> str | None:
    """The test of a kit: "no3 kits" -> nitrate; None where the words name no kit."""
    if not says(subject, table("supplies")["kit"]["words"]):
        return None
    found = names_in(tokenise(subject))
    return found[0].parameter if found else None


@cache
def _rows() -> dict[str, dict[str, Any]]:
    return {row["key"]: row for row in table("supplies")["supply"]}


@lru_cache(maxsize=1024)
def _supply(key: str, own: tuple[tuple[str, Any], ...]) -> Supply:
    facts, set_down = table("supplies"), dict(own)
    row = _rows().get(key)
    is_kit = row is None and key.endswith(" kit")
    pack = (row or facts["kit" if is_kit else "other"])["pack"]["value"]
    parameter = key.removesuffix(" kit") if is_kit else row.get("parameter") if row else None
    return Supply(
        key=key, name=row["name"] if row else key if is_kit else _plural(key), unit=row["unit"] if row else "",
        pack=float(set_down.get("pack", pack)), bare=row["bare"] if row else "packs" if is_kit else "each",
        lead_days=float(set_down.get("lead_days", facts["delivery"]["value"])),
        reserve_days=float(set_down.get("reserve_days", facts["reserve"]["value"])),
        price=set_down.get("price"), assumed="pack" not in set_down and pack != 1.0,
        counted=row is not None or is_kit, parameter=parameter,
    )  # fmt: skip


def _plural(key: str) -> str:
    return key if key in table("supplies")["other"]["no_plural"] else f"{key}s"


def _frozen(own: Mapping[str, Any]) -> tuple[tuple[str, Any], ...]:
    return tuple(sorted((k, v) for k, v in own.items() if isinstance(v, int | float | str)))
