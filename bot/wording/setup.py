"""What is said when something is set up: what is on file now, what it was before, what is still to be asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from bot.facts.load import table
from bot.items import Quantity, Setting
from bot.wording.quantities import full_name, in_unit, number, quantity, short_name, unit_word

Options = tuple[tuple[str, str], ...]
_DAYS = {"mon": "Mon", "tue": "Tue", "wed": "Wed", "thu": "Thu", "fri": "Fri", "sat": "Sat", "sun": "Sun"}


def named(name: str) -> str:
    """A name as it goes on the list: its first letter large."""
    return name[:1].upper() + name[1:]


def may_not(subject: str, roles: Sequence[str]) -> str:
    """Who may set it instead."""
    names = table("setup")["names"]
    what = names.get(subject, names["other"])
    return f"{what} is for {' or '.join(roles)} to change. Nothing changed: ask one of them to send it."


def brief(item: Setting) -> str:
    """A setting in a few words: "limits alk", "person sam", "new tank"."""
    parameter = item.values.get("parameter")
    about = next((str(v) for k in ("name", "nickname", "treatment", "what") if (v := item.values.get(k))), "")
    about = about or (short_name(parameter) or full_name(parameter) if parameter else "")
    subject = {"range": "limits", "tank": "new tank", "volume": "water", "copy": "copied"}.get(
        item.subject, item.subject
    )
    return f"{subject.replace('_', ' ')} {about}".strip()


def gross(volume: Quantity, sump: Quantity | None, litres: float) -> str:
    """The glass: "110 gal gross (90 + 20), 416 L"."""
    whole = volume.value + (sump.value if sump else 0)
    parts = f" ({number(volume.value)} + {number(sump.value)})" if sump else ""
    metric = "" if volume.unit == "L" else f", {number(litres, 0)} L"
    return f"{quantity(whole, volume.unit)} gross{parts}{metric}"


def rhythm(every_days: float | None, weekday: str | None) -> str:
    """ "Tue every 14 days"; "" where neither is known."""
    said = [_DAYS.get(weekday or "", ""), f"every {number(every_days)} days" if every_days else ""]
    return " ".join(filter(None, said))


def panel(names: Iterable[str]) -> str:
    """ "panel: temp, pH, SG, alk, NO3"."""
    return f"panel: {', '.join('temp' if n == 'temperature' else short_name(n) for n in names)}"


def how_much(name: str, is_gross: bool, us: bool) -> tuple[str, Options]:
    """Asks for the water that is really in the tank."""
    share = table("setup")["net"]["value"]
    offered = ((f"Use {number(share)} %", "share"),) if is_gross else ()
    typed = (f"Type {'gallons' if us else 'litres'}", "type")
    return f"{name}: how much water is in it, sump included?", (*offered, typed)


def type_it(us: bool) -> str:
    """What to send."""
    return "Send the number, such as 95 gal." if us else "Send the number, such as 360 L."


def too_much(said: Quantity, whole: Quantity) -> str:
    """More water than glass."""
    room = quantity(whole.value, whole.unit)
    return f"{quantity(said.value, said.unit)} is more than the {room} of glass. Not stored: send it again."


def which_kind(name: str) -> tuple[str, Options]:
    """Asks what kind of tank it is."""
    options = (("Reef", "reef"), ("Tropical fresh", "tropical community"))
    return f"{name}: which kind? Or type it: marine fish, cold marine, brackish, soft water, rift lake, pond.", options


def net(volume: Quantity, known: str) -> str:
    """ "water 94 gal (85 % of the glass)"."""
    return f"water {quantity(volume.value, volume.unit, 0)}" + (f" ({known})" if known else "")


def limits(parameter: str, new: Mapping[str, Any], old: Mapping[str, Any] | None) -> str:
    """ "alk 7.5 to 9 dKH, at most 0.5 a day (was 7 to 10)"."""
    most = f", at most {number(new['most_per_day'])} a day" if new.get("most_per_day") else ""
    was = f" (was {_span(old)})" if old else ""
    name = short_name(parameter) or full_name(parameter)
    return f"{name} {_span(new)} {unit_word(new['unit'])}".strip() + most + was


def _span(row: Mapping[str, Any]) -> str:
    low, high = (in_unit(row[end], row["unit"]) if row.get(end) is not None else "" for end in ("low", "high"))
    return f"{low} to {high}" if low and high else f"up to {high}" if high else f"from {low}"


def upside_down(parameter: str, new: Mapping[str, Any]) -> str:
    """A limit that the other end of the range stands beyond."""
    name = short_name(parameter) or full_name(parameter)
    return f"{name} {_span(new)} is no range. Nothing changed: send both ends, such as 7.5 to 9."


def animals(found: Iterable[Mapping[str, Any]]) -> str:
    """ "2 clownfish, 5 cardinals"."""
    return ", ".join(f"{each['count']} {each['name']}" for each in found) or "no animals"


def invited(name: str, role: str, code: str, hours: float) -> list[str]:
    """The one-use code; for whoever asked, in private."""
    return [f"{named(name)} sends me this within {number(hours)} h, once: /start {code}", f"Role: {role}."]


def leaves(name: str, waits: int, tasks: int) -> str:
    """What has to go to somebody else before a person leaves the list."""
    held = [f"{n} {what}{'s' * (n != 1)}" for n, what in ((waits, "wait"), (tasks, "task")) if n]
    return f"{named(name)} has {' and '.join(held)}. To whom do they go? Still on the list until then."


def since(day: date) -> str:
    """ "since 3 Mar"."""
    return f"since {day.day} {day:%b}"
