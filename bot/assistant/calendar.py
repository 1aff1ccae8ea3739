"""Who is where when: what was said about the plan, put together with the rules of the tanks and their last visits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from statistics import median

from bot.assistant.turn import Turn
from bot.facts.load import table
from bot.items import Schedule
from bot.rules import round as rules
from bot.rules.round import WEEKDAYS, Care, Change, Rule, Visit
from bot.store import logbook, visits
from bot.store.visits import Seen
from bot.team import Person, Tank

AWAY = ("sick", "off", "holiday")
WEEK = timedelta(days=7)


@dataclass(frozen=True)
class Said:
    """A word about the plan, with when it was said, and on which day."""

    at: datetime
    day: date
    item: Schedule


@dataclass(frozen=True)
class Planned:
    """A visit to come with the tank, who goes (None: nobody who is there), and how long it is likely to take."""

    visit: Visit
    tank: Tank
    site: str
    who: str | None
    minutes: float

    @property
    def day(self) -> date:
        """The day for which it stands in the plan."""
        return self.visit.day


@dataclass(frozen=True)
class Calendar:
    """The plan as it stands at one moment, worked out once for all who ask."""

    turn: Turn
    today: date
    said: tuple[Said, ...]
    seen: dict[str, list[Seen]]

    def planned(self, first: date, last: date | None = None) -> list[Planned]:
        """All visits from the first day to the last, by day and in the order of the team's list."""
        until = last or first
        found = [self._planned(tank, v) for tank in self.turn.team.tanks for v in self._upcoming(tank, until)]
        return sorted((p for p in found if first <= p.day), key=lambda p: p.day)

    def next_visit(self, tank: Tank) -> Planned | None:
        """The next visit of a tank within a year; the one of today where it is still to come."""
        found = self._upcoming(tank, self.today + timedelta(days=366))
        return self._planned(tank, found[0]) if found else None

    def is_away(self, who: str, day: date) -> bool:
        """Whether somebody said that this person is away on that day, or has it off each week."""
        person = self.turn.team.person(who)
        words = [s.item for s in self.said if s.item.who == who and s.item.subject in (*AWAY, "back")]
        told = [w for w in words if w.due and (day_of(w.due) <= day if w.subject == "back" else _covers(w, day))]
        off = person is not None and WEEKDAYS[day.weekday()] in person.data.get("days_off", ())
        return off or bool(told and told[-1].subject != "back")

    def who_goes(self, tank: Tank, day: date) -> str | None:
        """Who is named for that day; else whose tank it is, unless away; None where nobody is left."""
        named = [s.item.who for s in self.said if _names_for(s.item, tank.name, day)]
        usual = named[-1] if named else self.usual(tank)
        return usual if usual and not self.is_away(usual, day) else None

    def usual(self, tank: Tank) -> str | None:
        """Whose tank it is: as the list says, else who was there most of the last times, else who is on the road."""
        client = self.turn.team.client_of(tank)
        set_down = tank.data.get("who") or (client.data.get("who") if client else None)
        if set_down and self.turn.team.person(str(set_down)):
            return str(set_down)
        last = [s.who for s in self.seen.get(tank.name, [])[:3] if s.who in self._on_the_road]
        if last:
            return max(last, key=Counter(last).__getitem__)
        return self._on_the_road[0] if self._on_the_road else None

    def minutes(self, tank: Tank) -> float:
        """How long a visit takes there: the middle of the last ones, else the usual time."""
        known, own = self._took(tank), tank.data.get("minutes")
        return float(median(known)) if known else float(own or table("round")["visit"]["value"])

    def is_learned(self, tank: Tank) -> bool:
        """Whether enough visits are on record to say how long one takes."""
        return len(self._took(tank)) >= int(table("round")["learned"]["least"]["value"])

    def _took(self, tank: Tank) -> list[float]:
        """How long the last whole visits took."""
        learned = table("round")["learned"]
        least, most = learned["shortest"]["value"], learned["longest"]["value"]
        took = [s.minutes for s in self.seen.get(tank.name, []) if s.day < self.today and least <= s.minutes <= most]
        return took[: int(learned["visits"]["value"])]

    def last_day(self, tank: str) -> date | None:
        """When the tank was last seen to."""
        found = self.seen.get(tank)
        return found[0].day if found else None

    def seen_on(self, day: date, who: str | None = None) -> list[Seen]:
        """The tanks that were seen to on a day, in the order in which they were begun."""
        found = [s for each in self.seen.values() for s in each if s.day == day and who in (None, s.who)]
        return sorted(found, key=lambda s: s.first)

    def is_open(self, tank: Tank, day: date) -> bool:
        """Whether anyone may come to the tank on that day: the team works, and the place is open."""
        rule = rule_of(tank)
        if not self.works(day) and not (rule and rule.every_days < 5):
            return False
        client = self.turn.team.client_of(tank)
        if client and WEEKDAYS[day.weekday()] in str(client.data.get("closed", "")).casefold():
            return False
        site = site_of(tank)
        return not any(
            s.item.subject == "closed" and _covers(s.item, day) and (s.item.tank is None or self._site(s.item) == site)
            for s in self.said
        )

    def works(self, day: date) -> bool:
        """Whether the team works on that day."""
        head = self.turn.team.data
        working = head.get("working_days") or table("round")["day"]["working"]
        return WEEKDAYS[day.weekday()] in working and day.isoformat() not in head.get("holidays", ())

    @property
    def _on_the_road(self) -> list[str]:
        return [p.name for p in on_the_road(self.turn)]

    def _site(self, item: Schedule) -> str | None:
        tank = self.turn.tank(item.tank)
        return site_of(tank) if tank else None

    def _upcoming(self, tank: Tank, until: date) -> list[Visit]:
        rule, changes = rule_of(tank), self._changes(tank)
        if rule is None and not changes:
            return []
        care = Care(tank.name, rule, self.last_day(tank.name), self._start(tank), changes, self._opener(tank))
        return rules.upcoming(care, self.today, until)

    def _opener(self, tank: Tank) -> rules.Open:
        return lambda day: self.is_open(tank, day)

    def _start(self, tank: Tank) -> date:
        since = visits.on_list_since(self.turn.db, "tank", tank.name) if not self.last_day(tank.name) else None
        return self.turn.local(since).date() if since else self.today

    def _changes(self, tank: Tank) -> tuple[Change, ...]:
        """What was said of its visits to come: a word said before the last visit began was about that one."""
        last = next(iter(self.seen.get(tank.name, [])), None)
        told = [s for s in self.said if s.item.tank == tank.name and (last is None or _is_after(s, last))]
        return tuple(change for s in told if (change := _change(s)))

    def _planned(self, tank: Tank, visit: Visit) -> Planned:
        return Planned(visit, tank, site_of(tank), self.who_goes(tank, visit.day), self.minutes(tank))


def now(turn: Turn, since: datetime | None = None) -> Calendar:
    """The plan as it stands; `since` where more of the past is needed than the plan itself looks at."""
    back = timedelta(days=table("round")["learned"]["back"]["value"])
    facts = logbook.events(turn.db, None, kind="schedule", since=turn.now - 2 * back, limit=5000)
    said = [Said(f.at, turn.local(f.at).date(), f.item) for f in reversed(facts) if isinstance(f.item, Schedule)]
    office = [p.name for p in turn.team.with_role("office")]
    seen = visits.seen(turn.db, turn.zone, min(since or turn.now, turn.now - back), turn.now, office)
    return Calendar(turn, turn.local(turn.now).date(), tuple(said), seen)


def as_of(turn: Turn, then: datetime) -> Calendar:
    """The plan as it stood at an earlier moment of today: without what was said and done since."""
    plan = now(replace(turn, now=then))
    return replace(plan, said=tuple(s for s in plan.said if s.at <= then))


def site_of(tank: Tank) -> str:
    """The place where a tank stands: its client, or itself."""
    return tank.client or tank.name


def rule_of(tank: Tank) -> Rule | None:
    """How often the tank is visited, None where nothing is agreed."""
    return Rule(float(tank.every_days), tank.weekday) if tank.every_days else None


def following(tank: Tank, day: date) -> date | None:
    """When the visit after the one of that day is due, where there is a rule."""
    rule = rule_of(tank)
    return rules.after(rule, day) if rule else None


def on_the_road(turn: Turn) -> Sequence[Person]:
    """Who visits tanks: technicians, then learners; the owner where there is nobody else."""
    return turn.team.with_role("technician") or turn.team.with_role("learner") or turn.team.with_role("owner")


def called(site: str, tanks: Sequence[str]) -> str:
    """A stop as it is spoken of: its tank; the place, where there are several."""
    return tanks[0] if len(tanks) == 1 else f"{site} ({len(tanks)} tanks)"


def day_of(when: date | datetime) -> date:
    """The day of a date or of an instant."""
    return when.date() if isinstance(when, datetime) else when


def _covers(item: Schedule, day: date) -> bool:
    if item.due is None:
        return False
    first = day_of(item.due)
    return first <= day <= (day_of(item.to) if item.to else first)


def _is_after(said: Said, last: Seen) -> bool:
    """Whether the word is about a visit after that one: said since it began, or of a later day by name."""
    return said.at > last.first or bool(said.item.due and day_of(said.item.due) > last.day)


def _names_for(item: Schedule, tank: str, day: date) -> bool:
    """Whether it says who goes to that tank on that day."""
    when = item.to or item.due
    return item.subject == "visit" and item.tank == tank and bool(item.who and when and day_of(when) == day)


def _change(said: Said) -> Change | None:
    item = said.item
    due = day_of(item.due) if item.due else None
    if item.subject == "skip":
        return Change(said.day, due)
    if item.subject != "visit" or item.to is None or item.every_days:
        return None
    at: time | None = item.to.time() if isinstance(item.to, datetime) else None
    return Change(said.day, due, day_of(item.to), at)
