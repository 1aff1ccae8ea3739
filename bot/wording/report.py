"""The client's report in words: six plain lines, the same that stand on its page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from bot.facts.load import table
from bot.items import Reading
from bot.rules.report import Changed, Creature, Deed, Number, Report
from bot.wording.entries import name
from bot.wording.quantities import number, reading, short_name

_SHARES = ((0.05, "a twentieth"), (0.1, "a tenth"), (0.2, "a fifth"), (0.25, "a quarter"), (1 / 3, "a third"),
           (0.5, "half"), (2 / 3, "two thirds"), (0.75, "three quarters"), (1.0, "all"))  # fmt: skip
EDITABLE = ("first", "done", "animals", "water", "please")
"""The lines that the office may put in its own words."""


@dataclass(frozen=True)
class Lines:
    """The report line by line; a line that has nothing to say is ""."""

    title: str
    first: str
    done: str = ""
    animals: str = ""
    water: str = ""
    please: str = ""
    call: str = ""
    next: str = ""

    @property
    def text(self) -> str:
        """All of it, in at most six lines."""
        last = " ".join(filter(None, (self.please, self.call, self.next)))
        body = [("Done", self.done), ("Animals", self.animals), ("Water", self.water)]
        shown = [f"{head}: {said}" for head, said in body if said]
        return "\n".join(filter(None, (self.title, self.first, *shown, last)))


@dataclass(frozen=True)
class Corrected:
    """That a report of that day went out before, and what is different now; `own`: lines that the office rewrote."""

    day: date
    changes: Sequence[Changed] = ()
    own: Sequence[str] = ()


def lines(report: Report, phone: str = "", own: Mapping[str, str] | None = None, was: Corrected | None = None) -> Lines:
    """The report in words; `own` are lines that the office wrote itself, by the names in EDITABLE."""
    made = Lines(
        title=("Corrected report: " if was else "") + title(report),
        first=_first(report, bool(report.please or (own or {}).get("please"))),
        done=_done(report),
        animals=_animals(report),
        water=_water(report),
        please=_please(report.please),
        call=_call(phone),
        next=f"Next visit: {_day(date.fromisoformat(report.next))}." if report.next else "",
    )
    told = {k: v for k, v in (own or {}).items() if k in EDITABLE}
    if "please" in told:
        told["please"] = _please([told["please"]] if told["please"] else [])
    first = told.get("first", made.first)
    return Lines(**(vars(made) | told | {"first": f"{_changes(was)} {first}".strip() if was else first}))


def title(report: Report) -> str:
    """Whose tank, when, how long, who: "Quillow Dental, lobby · Tue 3 March, 08:30–09:12, Ines"."""
    who = " and ".join(name(w) for w in report.who)
    span = f"{report.start:%H:%M}–{report.end:%H:%M}"
    return f"{place(report.client, report.tanks)} · {_day(report.start.date())}, {span}, {who}"


def place(client: str, tanks: Sequence[str]) -> str:
    """The client and the tanks, without what the names share: "Merriwick Clinic, waiting room and corridor"."""
    return f"{client}, {' and '.join(_short(t, client) for t in tanks)}"


def brief(report: Report) -> str:
    """A line of the office's list: "Merriwick Clinic, waiting room, Tue 10 March"."""
    return f"{place(report.client, report.tanks)}, {_day(report.start.date())}"


def _short(tank: str, client: str) -> str:
    first, _, rest = tank.partition(" ")
    return rest if rest and client.casefold().startswith(first.casefold()) else tank


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%B}"


def _first(report: Report, asks: bool) -> str:
    """What the desk must know first: what to leave alone, what we see to, else that nothing is out of the usual."""
    left = [f"{said[:1].upper()}{said[1:]}." for said in report.left]
    broken = [f"The {what} is out of order; we are seeing to it." for what in report.broken]
    wrong = list(dict.fromkeys(n.parameter for n in report.numbers if not n.fine))
    lost = [c for c in report.creatures if c.what == "lost"]
    sentences = [*left, *broken, *([_correcting(report, wrong)] if wrong else [])]
    if lost:
        sentences.append(f"{_counted(lost)} lost; we are watching the others.")
    sentences = sentences or ["Nothing out of the usual seen."]
    return " ".join(sentences if left or asks else [*sentences, "Nothing for you to do."])


def _correcting(report: Report, wrong: Sequence[str]) -> str:
    names = " and ".join(table("report")["tests"][p] for p in wrong)
    where = {n.tank for n in report.numbers if not n.fine}
    changed = any("water changed" in d.says and d.tank in where for d in report.deeds)
    return f"We are correcting {names}{', with a water change today' if changed else ''}."


def _done(report: Report) -> str:
    said = _by_tank(report, [(d.tank, _deed(d)) for d in report.deeds], ", ")
    return f"{said}." if said else ""


def _by_tank(report: Report, told: Sequence[tuple[str, str]], between: str) -> str:
    """The pieces in one line; with the tank before those of each, where the report is of several."""
    if len(report.tanks) < 2:
        return between.join(dict.fromkeys(piece for _, piece in told))
    groups = {t: [piece for tank, piece in told if tank == t] for t in report.tanks}
    return "; ".join(f"{_short(t, report.client)}: {between.join(pieces)}" for t, pieces in groups.items() if pieces)


def _deed(deed: Deed) -> str:
    if "{share}" not in deed.says:
        return deed.says
    rows = [row for row in table("report")["done"] if row["says"] == deed.says]
    return deed.says.format(share=_share(deed.share)) if deed.share else str(rows[0]["plain"])


def _share(part: float) -> str:
    close = [words for share, words in _SHARES if abs(part - share) < 0.004]
    return close[0] if close else f"{number(part * 100, 0)} %"


def _animals(report: Report) -> str:
    groups = {what: [c for c in report.creatures if c.what == what] for what in ("added", "moved", "lost")}
    told = [f"{_counted(found)} {_VERB[what]}" for what, found in groups.items() if found]
    return "; ".join(told) + "." if told else "no change noted."


_VERB = {"added": "added", "moved": "moved to another tank", "lost": "lost"}


def _counted(found: Iterable[Creature]) -> str:
    return ", ".join(_creature(c) for c in found)


def _creature(creature: Creature) -> str:
    if creature.count is None:
        return creature.name or "an animal"
    unnamed = "animal" if creature.count == 1 else "animals"
    return f"{creature.count} {creature.name or unnamed}"


def _water(report: Report) -> str:
    return _by_tank(report, [(n.tank, _number(n)) for n in report.numbers], " · ")


def _number(found: Number) -> str:
    return f"{value(found)} fine" if found.fine else f"{value(found)}: we are correcting it"


def value(found: Number) -> str:
    """The test in everyday words with its value: "temperature 78.4 °F", "nitrate 12 mg/L"."""
    known = {k: getattr(found, k) for k in ("parameter", "value", "unit", "below", "above", "low", "high")}
    shown = reading(Reading(**known))
    short = "salinity" if found.parameter == "salinity" and found.unit != "SG" else short_name(found.parameter)
    bare = shown.removeprefix(short).strip() if short else shown
    basis = {"N": " as nitrogen", "P": " as phosphorus"}.get(found.basis or "", "")
    return f"{table('report')['tests'][found.parameter]} {bare}{basis}"


def _please(asked: Sequence[str]) -> str:
    told = [a.strip().rstrip(".") for a in asked if a.strip()]
    return f"Please: {'. '.join(t[:1].upper() + t[1:] for t in told)}." if told else ""


def _call(phone: str) -> str:
    return f"Call {phone or 'us'} if: {', '.join(table('report')['call']['if'])}."


def _changes(was: Corrected) -> str:
    """ "Changed since the report of Tue 10 March: nitrate 9 mg/L, not 12 mg/L"."""
    told = [*(_change(c) for c in was.changes), *(_OWN[line] for line in was.own)]
    return f"Changed since the report of {_day(was.day)}: {'; '.join(dict.fromkeys(told))}."


def _change(change: Changed) -> str:
    before, now = change.before, change.now
    if before and now:
        return f"{value(now)}, not {value(before).removeprefix(table('report')['tests'][before.parameter]).strip()}"
    if now:
        return f"{value(now)}, added"
    if before:
        return f"{table('report')['tests'][before.parameter]} left out"
    return _PARTS[change.what]


_PARTS = {
    "deeds": "what was done", "creatures": "the animals", "broken": "the equipment", "left": "what to leave alone",
    "please": "what we ask", "next": "the next visit", "who": "who came",
}  # fmt: skip
_OWN = {
    "first": "the first line", "done": "what was done", "animals": "the animals", "water": "the water",
    "please": "what we ask", "photo": "the photo",
}  # fmt: skip
