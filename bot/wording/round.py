"""What is said about the plan: visits moved or left out, who goes, what an absence means, what is left today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from bot.rules.absence import Place, Proposal
from bot.wording.entries import day, name


@dataclass(frozen=True)
class Line:
    """A stop as it is shown: what it is called, and when it is reached."""

    called: str
    at: time


def when(moment: date | datetime, today: date) -> str:
    """A day, with the hour where one was agreed: "Thu 12 Mar 08:00"."""
    if isinstance(moment, datetime):
        return f"{day(moment.date(), today)} {moment:%H:%M}"
    return day(moment, today)


def moved(before: date | None, to: date | datetime, who: str | None, today: date) -> str:
    """ "visit moved from Tue 10 Mar to Thu 12 Mar 08:00 (Ines)"."""
    came = f" from {day(before, today)}" if before else ""
    return f"visit moved{came} to {when(to, today)}" + (f" ({name(who)})" if who else "")


def beyond(days: int, every: float) -> str:
    """A move that breaks what was promised."""
    return f"Watch: {days} days since the last visit by then; promised every {every:g}"


def shut(to: date, today: date) -> str:
    """A move to a day on which nobody may come."""
    return f"Watch: closed {day(to, today)}; it would stand on the first open day"


def past(to: date, today: date) -> str:
    """A day that has been."""
    return f"{day(to, today)} has been. Nothing moved: send a day to come."


def rule(rhythm: str, first: date | None, today: date) -> str:
    """ "visits Tue every 14 days, next tomorrow"."""
    return f"visits {rhythm}" + (f", next {day(first, today)}" if first else "")


def goes(who: str, on: date, today: date) -> str:
    """ "Ines goes Tue 10 Mar"."""
    return f"{name(who)} goes {day(on, today)}"


def away_then(who: str) -> str:
    """Somebody is named who is not there."""
    return f"Watch: {name(who)} is away that day"


def no_visit(tank: str) -> str:
    """A visit is spoken of, and there is none."""
    return f"{tank}: no visit planned. Send when: {tank} tue every 2 weeks"


def stays(tank: str, on: date, today: date) -> str:
    """A tank of the site that is not due on the visit spoken of."""
    return f"{tank} stays {day(on, today)}"


def none_until(tank: str, last: date, following: date, today: date) -> str:
    """A visit of this week is to be left out, and none is left."""
    return f"{tank}: no visit up to {day(last, today)}, next {day(following, today)}. Nothing changed."


def left_out(gone: date | None, following: date | None, today: date) -> str:
    """ "visit Tue 10 Mar left out, next Tue 24 Mar"."""
    what = f"visit {day(gone, today)} left out" if gone else "visit left out"
    return what + (f", next {day(following, today)}" if following else "")


def closed(first: date | datetime, last: date | datetime | None, today: date) -> str:
    """ "closed Mon 16 Mar to Fri 20 Mar"."""
    return f"closed {when(first, today)}" + (f" to {when(last, today)}" if last else "")


def shifted(changes: Sequence[tuple[str, date, date]], today: date) -> str | None:
    """What a closed day does to visits: "Quillow: Tue 10 Mar, now Wed 11 Mar"."""
    if not changes:
        return None
    said = [f"{tank} {day(old, today)}, now {day(new, today)}" for tank, old, new in changes[:3]]
    more = f" and {len(changes) - 3} more" if len(changes) > 3 else ""
    return " · ".join(said) + more


def away(who: str, subject: str, first: date, last: date | None, today: date) -> str:
    """ "Tomasz sick today", "Ines on holiday Tue 10 Mar to Tue 17 Mar"."""
    what = {"holiday": "on holiday"}.get(subject, subject)
    return f"{name(who)} {what} {day(first, today)}" + (f" to {day(last, today)}" if last and last != first else "")


def back(who: str, since: date, today: date) -> str:
    """ "Tomasz back tomorrow"."""
    return f"{name(who)} back {day(since, today)}"


def proposal(count: int, made: Proposal, spare: Sequence[str], called: Mapping[str, str], today: date) -> list[str]:
    """What is proposed, before anything of it is done: at most two lines, the first opened by the number of stops."""
    stays, moves = _by(made.places, False), _by(made.places, True)
    says = []
    for (who, on), places in stays.items():
        names = " + ".join(called[p.need.site] for p in places)
        minutes = sum(p.need.minutes for p in places)
        ask = "?" if who in spare else ""
        says.append(f"{name(who)} takes {names}{_on(on, today)} (+{minutes:.0f} min){ask}")
    for (who, on), places in moves.items():
        says.append(f"{', '.join(called[p.need.site] for p in places)} to {day(on, today)} ({name(who)})")
    if made.left:
        says.append(f"nobody has room for {', '.join(called[n.site] for n in made.left)}")
    lines = [f"{count} stop{'s' * (count != 1)}. {says[0]}", *says[1:]] if says else []
    return [*(f"{line};" for line in lines[:-1]), *lines[-1:]]


def not_yet_told() -> str:
    """Under a proposal."""
    return "Nothing is told to anyone until you press."


def each_place(place: Place, called: Mapping[str, str], today: date) -> str:
    """One stop of a proposal."""
    return f"{called[place.need.site]}: {name(place.who)} {day(place.day, today)}"


def how_to_change(who: str) -> str:
    """What to send instead of a proposal."""
    return f"Send what differs: {name(who)} takes quillow · move vantree to fri. Then press Do it."


def told_taker(by: str, what: Sequence[str]) -> str:
    """To whoever takes stops over: "Changed by Petra. Yours now: Tarnwick today"."""
    return f"Changed by {name(by)}. Yours now: {' · '.join(what)}"


def changes(places: Sequence[Place], called: Mapping[str, str], today: date) -> str:
    """For the group, without a word of why: "Changed: Tarnwick to Ines today · Vantree to tomorrow (Tomasz)"."""
    return f"Changed: {' · '.join(each_place(p, called, today) for p in places)}"


def told(names: Sequence[str]) -> str | None:
    """Who heard of it."""
    return f"Told {', '.join(map(name, names))}." if names else None


def stops(lines: Sequence[Line], most: int) -> str:
    """ "1 Quillow reef 08:30 · 2 Brindlemoor bar 09:40 · and 2 more"."""
    said = [f"{i} {line.called} {line.at:%H:%M}" for i, line in enumerate(lines[:most], start=1)]
    more = [f"and {len(lines) - most} more"] if len(lines) > most else []
    return " · ".join([*said, *more])


def counted(stops_left: int, tanks: int, home: time) -> str:
    """ "3 stops, 4 tanks, home about 16:20"."""
    more = f", {tanks} tanks" if tanks not in (0, stops_left) else ""
    return f"{stops_left} stop{'s' * (stops_left != 1)}{more}, home about {home:%H:%M}"


def nobody(called: Sequence[str]) -> str:
    """Visits that nobody is there for."""
    return f"Nobody goes: {', '.join(called)}"


def _by(places: Sequence[Place], moved: bool) -> dict[tuple[str, date], list[Place]]:
    found: dict[tuple[str, date], list[Place]] = {}
    for place in places:
        if place.is_moved == moved:
            found.setdefault((place.who, place.day), []).append(place)
    return found


def _on(on: date, today: date) -> str:
    return "" if on == today else f" {day(on, today)}"


def of_person(who: str, counted: str, listed: str) -> str:
    """ "Ines: 3 stops, 4 tanks, home about 15:10: 1 Quillow 08:30 ..."."""
    return f"{name(who)}: {counted}: {listed}"


def of_day(of: date, lines: Sequence[str], nobody: Sequence[str], today: date) -> str:
    """A day's stops."""
    left = [f"Nobody goes to {', '.join(nobody)}"] if nobody else []
    return "\n".join([f"{name(day(of, today))}:", *left, *lines]) if left or lines else f"No stops {day(of, today)}."


def of_days(found: Sequence[tuple[date, Sequence[str]]], today: date) -> str:
    """The stops of several days, a line each."""
    return "\n".join(f"{day(of, today)}: {', '.join(sites)}" for of, sites in found) or "No stops planned."
