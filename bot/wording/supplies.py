"""What is said of supplies: where how much is, how long it lasts, what to order, what it cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from bot.facts.load import table
from bot.items import Stock
from bot.rules.stock import SHOP, Drift, Level, Outlook, to_order
from bot.rules.supplies import Supply
from bot.understanding.stock_things import SINGLE
from bot.wording.batches import mass
from bot.wording.entries import day
from bot.wording.entries import name as person
from bot.wording.quantities import number, short_name

HOW = {
    "count": 'Never counted: send "shop count {name} 10" or "van count {name} 5".',
    "amount": 'How many {name}? Not stored: send it with a number, such as "4 {name} arrived".',
}


def amount(value: float, of: Supply, us: bool) -> str:
    """So much of a supply: "61 kg", "1.2 L", "14"."""
    if of.unit == "g":
        return mass(value, us)
    if of.unit == "mL":
        return f"{number(value / 1000, 1)} L" if value >= 1000 else f"{number(value, 0)} mL"
    return number(value, 1)


def name(of: Supply) -> str:
    """What it is called: "salt", "NO3 kit"."""
    return f"{short_name(of.parameter) or of.parameter} kit" if of.parameter and of.key.endswith(" kit") else of.name


def counted(of: Supply, value: float, drift: Drift | None, us: bool) -> str:
    """ "strips 14 (reckoned 20: 6 missing, unlogged?)"."""
    off = drift.off if drift else 0.0
    if abs(off) < 0.5 * (100 if of.unit else 1):
        return f"{name(of)} {amount(value, of, us)}{_tests(of)}"
    was = amount(value - off, of, us)
    much = f"{amount(abs(off), of, us)} {'missing, unlogged?' if off < 0 else 'more'}"
    return f"{name(of)} {amount(value, of, us)}{_tests(of)} (reckoned {was}: {much})"


def moved(item: Stock, level: Level, value: float, places: Sequence[str], us: bool) -> str:
    """ "carbon: took 2, van 5, shop 8"."""
    packs = _packs(item, level.of, us)
    now = ", ".join(f"{_place(p)} {amount(level.places[p], level.of, us)}" for p in places if p in level.places)
    said = {"took": "took ", "used": "used ", "arrived": "+", "ordered": "ordered "}[item.action]
    return f"{name(level.of)}: {said}{amount(value, level.of, us)}{packs}" + (f", {now}" if now else "")


def _packs(item: Stock, of: Supply, us: bool) -> str:
    """ " (4 x 20 kg, assumed)"."""
    if item.unit or item.pack in SINGLE or not (item.pack or of.bare == "packs") or of.pack == 1:
        return ""
    assumed = ", assumed" if of.assumed else ""
    return f" ({number(item.amount or 0)} x {amount(of.pack, of, us)}{assumed})"


def due_on(level: Level, today: date) -> str:
    """ "due Thu 12 Mar"."""
    return f"due {day(level.due_on, today)}" if level.due_on else ""


def answer(found: Outlook, today: date, us: bool) -> str:
    """ "salt: shop 61 kg = 9 days at this fortnight's use; delivery 5 days: order by Thu"."""
    level = found.level
    if level.total is None:
        return f"{name(level.of)}: {HOW['count'].format(name=name(level.of))}"
    places = ", ".join(f"{_place(p)} {amount(v, level.of, us)}" for p, v in sorted(level.places.items(), key=_order))
    if found.days is None:
        return f"{name(level.of)}: {places}; none used lately{_coming(level, today, us)}"
    if found.days > _LONG:
        return f"{name(level.of)}: {places} = over a year at the use of late{_coming(level, today, us)}"
    lasts = f"{number(found.days, 0)} days {'as planned' if found.planned else 'at the use of late'}"
    return f"{name(level.of)}: {places} = {lasts}; {_when(found, today)}{_coming(level, today, us)}"


def _when(found: Outlook, today: date) -> str:
    lead = number(found.level.of.lead_days)
    if found.level.due:
        return f"delivery {lead} days"
    assert found.order_by
    by = "order today" if found.order_by <= today else f"order by {day(found.order_by, today)}"
    return f"delivery {lead} days: {by}"


def _coming(level: Level, today: date, us: bool) -> str:
    return f"; {amount(level.due, level.of, us)} ordered, {due_on(level, today)}" if level.due else ""


def runs_out(found: Outlook, today: date) -> str:
    """ "strips Thu 12 Mar (order today)"."""
    assert found.out and found.order_by
    by = "today" if found.order_by <= today else f"by {day(found.order_by, today)}"
    return f"{name(found.level.of)} {day(found.out, today)} (order {by})"


def running_out(found: Sequence[Outlook], today: date) -> str:
    """The one line of the evening or the week."""
    shown = " · ".join(runs_out(f, today) for f in found[:_MOST])
    more = f" and {len(found) - _MOST} more" if len(found) > _MOST else ""
    return f"Runs out: {shown}{more}"


def enough(found: Sequence[Outlook]) -> str:
    """Nothing is low: the three that last shortest."""
    known = sorted((f for f in found if f.days is not None), key=lambda f: f.days or 0.0)[:_FEW]
    lasts = ", ".join(f"{name(f.level.of)} {number(f.days or 0, 0)} days" for f in known)
    return f"Nothing to order. Shortest: {lasts}" if lasts else 'No supplies on record: send "shop count salt 3 bags".'


def order_line(found: Outlook, us: bool) -> str:
    """ "salt 4 x 20 kg"."""
    of = found.level.of
    size = f" x {amount(of.pack, of, us)}" if of.pack != 1 else ""
    return f"{name(of)} {to_order(found)}{size}"


def order_list(found: Sequence[Outlook], us: bool) -> str:
    """The list as text; the whole of it is the CSV beside it."""
    shown = " · ".join(order_line(f, us) for f in found[:_MOST])
    more = f" and {len(found) - _MOST} more" if len(found) > _MOST else ""
    return f"Order: {shown}{more}"


def nothing_to_order() -> str:
    """The order list is empty."""
    return "Nothing to order: everything lasts past delivery and reserve."


def order_rows(found: Sequence[Outlook]) -> list[list[object]]:
    """The order list as a table, with its head."""
    rows: list[list[object]] = [
        ["supply", "packs", "pack", "unit", "amount", "in stock", "ordered", "used a day", "days left", "runs out",
         "order by", "price of a pack", "price"]
    ]  # fmt: skip
    for each in found:
        of, packs = each.level.of, to_order(each)
        price = of.price * packs if of.price is not None else None
        rows.append([
            name(of), packs, of.pack, of.unit or "pieces", packs * of.pack, round(each.level.total or 0.0, 2),
            round(each.level.due, 2), round(each.per_day, 3), round(each.days or 0.0, 1),
            each.out.isoformat() if each.out else "", each.order_by.isoformat() if each.order_by else "",
            of.price, price,
        ])  # fmt: skip
    return rows


def load(day_words: str, needs: Sequence[tuple[Supply, float, float | None]], us: bool) -> list[str]:
    """Enough for a day: what it takes beside what the van has; what is short comes first."""
    if not needs:
        return [f"{day_words}: no tests or supplies planned that are counted."]
    short = [n for n in needs if n[2] is not None and n[2] < n[1]]
    unknown = [n for n in needs if n[2] is None]
    head = f"{day_words}: short of {_listed(short, us)}" if short else f"{day_words}: enough of what is counted"
    rest = [n for n in needs if n not in short and n not in unknown]
    lines = [f"Enough: {_listed(rest, us)}"] if rest else []
    return [head, *lines, *([f"Never counted in the van: {', '.join(name(n[0]) for n in unknown)}"] if unknown else [])]


def _listed(needs: Sequence[tuple[Supply, float, float | None]], us: bool) -> str:
    return ", ".join(f"{name(of)} {amount(need, of, us)} (van {amount(have or 0, of, us)})" for of, need, have in needs)


def cost(place: str, month: date, sums: Mapping[Supply, tuple[float, float | None]], us: bool) -> list[str]:
    """ "Quillow reef, Mar 2026: 42.10": by supply, and what has no price yet."""
    priced = {of: (used, money) for of, (used, money) in sums.items() if money is not None}
    free = {of: used for of, (used, money) in sums.items() if money is None}
    whole = sum(money or 0.0 for _, money in priced.values())
    if not sums:
        return [f"{place}, {month:%b %Y}: nothing used that is counted."]
    most = sorted(priced.items(), key=lambda p: -(p[1][1] or 0.0))[:_MOST]
    lines = [" · ".join(f"{name(of)} {number(money or 0, 2)} ({amount(used, of, us)})" for of, (used, money) in most)]
    without = ", ".join(f"{name(of)} {amount(used, of, us)}" for of, used in list(free.items())[:_MOST])
    said = [f'No price yet: {without}. Send it, such as "salt costs 62 a bag of 20 kg"'] if without else []
    return [f"{place}, {month:%b %Y}: {number(whole, 2)}", *(lines if priced else []), *said]


def costs(month: date, sums: Mapping[str, float]) -> list[str]:
    """A month of all tanks: the sum, and the dearest."""
    ranked = sorted(sums.items(), key=lambda s: -s[1])
    head = f"Supplies {month:%b %Y}: {number(sum(sums.values()), 2)}, {len(sums)} tank{'s' * (len(sums) != 1)}"
    return [head, " · ".join(f"{tank} {number(money, 2)}" for tank, money in ranked[:_MOST])] if ranked else [head]


def terms(of: Supply, us: bool) -> str:
    """What stands on file of a supply: "salt: pack 20 kg, 62 a pack, delivery 5 days, reserve 14 days"."""
    pack = f"pack {amount(of.pack, of, us)}{' (assumed)' if of.assumed else ''}"
    price = f", {number(of.price, 2)} a pack" if of.price is not None else ""
    return f"{name(of)}: {pack}{price}, delivery {number(of.lead_days)} days, reserve {number(of.reserve_days)} days"


def salt_yield(g_L: float) -> str:
    """What the team's salt takes."""
    return f"salt takes {number(g_L, 1)} g/L for 35 ppt"


def yield_cannot_be(g_L: float) -> str:
    """Neither dry salt nor any mix."""
    low, high = (table("batches")["yield_limits"][k] for k in ("low", "high"))
    return (
        f"{number(g_L, 1)} g/L cannot be: a mix takes {number(low)} to {number(high)} g for a litre of 35 ppt. "
        "Not stored: weigh it again, and send grams a litre."
    )


def cannot_be(subject: str) -> str:
    """A pack of a kind that the supply is not counted in."""
    return f"That pack does not fit {subject}. Nothing changed: send it in the unit that it is counted in."


def brief(item: Stock) -> str:
    """A movement in a few words: "took 2 carbon"."""
    many = f"{number(item.amount)} " if item.amount is not None else ""
    unit = f"{item.unit or item.pack or ''} ".lstrip()
    return f"{item.action} {many}{unit}{item.subject}"


def place(where: str) -> str:
    """Where something was counted, at the head of the quote: "Shop", "Van Ines"."""
    shown = _place(where)
    return shown[:1].upper() + shown[1:]


def _tests(of: Supply) -> str:
    return " tests" if of.key.endswith(" kit") else ""


def _place(place: str) -> str:
    return "shop" if place == SHOP else f"van {person(place)}"


def _order(place: tuple[str, float]) -> tuple[bool, str]:
    return place[0] != SHOP, place[0]


_LONG = 365
_MOST = 6
_FEW = 3
