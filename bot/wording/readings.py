"""What is said about a reading: the remark that changes what the hands do next, and the question about an odd one."""

from __future__ import annotations

from collections.abc import Callable

from bot.items import Event, Reading
from bot.rules.judged import Verdict
from bot.rules.scales import as_read
from bot.wording.entries import event as event_words
from bot.wording.entries import name
from bot.wording.quantities import as_instrument, full_name, number, reading, short_name, unit_word


def remark(verdict: Verdict) -> str:
    """The one line about a verdict, opened by Watch or Next."""
    return _SAYS[verdict.kind](verdict)


def question(verdict: Verdict, odd: Reading) -> tuple[str, ...]:
    """The lines that ask about a reading unlike its tank: alk 83 mg/L CaCO3 = 4.7 dKH? Usual 8.2 to 8.6."""
    shown = reading(odd)
    if odd.unit != verdict.unit:
        shown += f" = {'SG ' if verdict.unit == 'SG' else ''}{_value(verdict, verdict.data['value'])}"
    usual = ""
    if verdict.data["low"] is not None:
        low, high = _number(verdict, verdict.data["low"]), _number(verdict, verdict.data["high"])
        usual = f" Usual {low}." if low == high else f" Usual {low} to {high}."
    return f"{shown}?{usual}", "Kept as unconfirmed; not used for anything yet."


def choices(verdict: Verdict, odd: Reading) -> tuple[tuple[str, str], ...]:
    """The answers to that question: (label, value); the value of a slip is what was meant, with its unit."""
    fits = verdict.data["meant"]
    value = _number(verdict, verdict.data["value"])
    slip = ((f"I meant {number(fits.value)}", f"{fits.value:.10g} {fits.unit}"),) if fits else ()
    return (f"It is {value}", "confirm"), *slip, ("Drop", "drop")


def also_had(who: str, other: Reading, clock: str) -> str:
    """What a colleague measured just before: "Ines had 78.4 °F at 08:41"."""
    return f"{name(who)} had {reading(other)} at {clock}"


def _poison(verdict: Verdict) -> str:
    if verdict.parameter == "chlorine":
        return f"Next: {_named(verdict)}, must be none: neutralise, aerate, find the source"
    return f"Next: {_named(verdict)} with invertebrates here: test again, then change water, carbon in"


def _free(verdict: Verdict) -> str:
    free = f"free ammonia {verdict.data['free']:.2f} mg/L"
    if verdict.data["harmful"]:
        return f"Next: {free}, harm from {number(verdict.data['harm'])}: change matched water, no feeding, aerate"
    return f"Watch: {free}, care from {number(verdict.data['limit'])} mg/L"


def _unknown_share(verdict: Verdict) -> str:
    return f"Next: test {' and '.join(full_name(p) for p in verdict.data['missing'])}: it decides how toxic ammonia is"


def _alarm(verdict: Verdict) -> str:
    way = "above" if verdict.data["side"] == "high" else "below"
    return f"Watch: {_named(verdict)}: act {way} {_number(verdict, verdict.data['limit'])}"


def _off_chart(verdict: Verdict) -> str:
    return f"Watch: {_prefix(verdict)}off the chart: test again on a diluted sample, then say the value"


def _unlike(verdict: Verdict) -> str:
    return f"Watch: {_named(verdict)}, unlike this tank: test again"


def _chloride(verdict: Verdict) -> str:
    have, wanted = verdict.data["chloride"], number(verdict.data["wanted"], 1)
    if have is None:
        return f"Next: test chloride: {_named(verdict)} wants {wanted} mg/L of it or more"
    return f"Watch: {_named(verdict)} wants chloride {wanted} mg/L or more, last {number(have, 0)}"


def _fast(verdict: Verdict) -> str:
    data = verdict.data
    hours = data["days"] * 24
    span = (
        f"{max(hours * 60, 1):.0f} min" if hours < 1 else f"{hours:.0f} h" if hours < 36 else f"{data['days']:.0f} days"
    )
    moved = f"{_number(verdict, data['was'])} to {_value(verdict, data['value'])} in {span}"
    return f"Watch: {_prefix(verdict)}{moved}, faster than this tank may"


def _unmixed(verdict: Verdict) -> str:
    done: Event = verdict.data["done"]
    left = verdict.data["wait"] - verdict.data["minutes"]
    name = full_name(verdict.parameter)
    return f"Next: {name} again in {left:.0f} min: {event_words(done)} {verdict.data['minutes']:.0f} min ago"


def _outside(verdict: Verdict) -> str:
    way = "above" if verdict.data["side"] == "high" else "below"
    whose = "this tank's" if verdict.data["own"] else "usual"
    return f"Watch: {_named(verdict)}, {way} {whose} {_number(verdict, verdict.data['limit'])}"


def _leaving(verdict: Verdict) -> str:
    data = verdict.data
    way = "above" if data["side"] == "high" else "below"
    weeks = _weeks(data["likely"], data["soonest"], data["latest"])
    name = full_name(verdict.parameter)
    return f"Watch: {name} {way} {_value(verdict, data['limit'])} {weeks} if nothing changes"


def _weeks(likely: float, soonest: float, latest: float) -> str:
    """ "in 3 weeks (2 to 5)"."""
    count = max(1, round(likely / 7))
    first, last = max(1, round(soonest / 7)), max(1, round(latest / 7))
    return f"in {count} week{'s' * (count > 1)}" + (f" ({first} to {last})" if first != last else "")


def _run(verdict: Verdict) -> str:
    values = verdict.data["values"]
    way = "up" if verdict.data["side"] == "high" else "down"
    row = ", ".join(_number(verdict, value) for value in values)
    return f"Watch: {full_name(verdict.parameter)} {way} {ordinal(len(values))} visit ({row})"


def _flat(verdict: Verdict) -> str:
    return (
        f"Watch: {full_name(verdict.parameter)} 0 at {verdict.data['visits']} visits: shake the bottles, check expiry"
    )


def ordinal(n: int) -> str:
    """ "1st", "2nd", "3rd"."""
    return f"{n}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(n, 'th') }"


def _named(verdict: Verdict) -> str:
    return f"{_prefix(verdict)}{_value(verdict, verdict.data['value'])}"


def _prefix(verdict: Verdict) -> str:
    name = short_name(verdict.parameter)
    name = "salinity" if verdict.parameter == "salinity" and verdict.unit != "SG" else name
    return f"{name} " if name else ""


def _value(verdict: Verdict, value: float) -> str:
    return f"{_number(verdict, value)} {unit_word(verdict.unit)}".strip()


def _number(verdict: Verdict, value: float) -> str:
    """A value of the scale in the unit in which the tank is read, no finer than its instruments."""
    shown = as_read(verdict.parameter, value, verdict.unit, verdict.basis)
    return as_instrument(shown, verdict.unit)


_SAYS: dict[str, Callable[[Verdict], str]] = {
    "poison": _poison, "free_ammonia": _free, "unknown_share": _unknown_share, "alarm": _alarm, "chloride": _chloride,
    "unlike": _unlike, "fast": _fast, "unmixed": _unmixed, "outside": _outside, "leaving": _leaving, "run": _run,
    "flat": _flat, "off_chart": _off_chart,
}  # fmt: skip


def instead_or_both(new: Reading, old: Reading, clock: str) -> str:
    """Asks whether a value for a past day corrects the one on record."""
    return f"{new.tank} {clock}: {reading(old)} is on record. {reading(new)} instead, or a second test? Not stored yet."


INSTEAD = (("Instead", "instead"), ("Second test", "both"), ("Drop", "drop"))


def instead_meant(words: str) -> str | None:
    """What the words answer: a correction, or another test."""
    said = words.strip().strip(".!").casefold()
    return next((value for value, ways in _INSTEAD_WORDS.items() if said in ways), None)


_INSTEAD_WORDS = {
    "instead": (
        "correct it",
        "correction",
        "replace it",
        "replace",
        "yes",
        "yes instead",
        "that one",
        "fix it",
        "change it",
    ),
    "both": ("second", "both", "another test", "keep both", "a second test", "two tests", "no, both"),
}
