"""What is on file and on record about a tank or a site, asked in everyday words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from bot.assistant import arriving, calendar, jobs, renewals, vats, watch
from bot.assistant.calendar import Planned
from bot.assistant.history_parts import WHICH, entries_of, latest
from bot.assistant.lookups_asked import Lookup
from bot.assistant.turn import Part
from bot.items import Event, Reading
from bot.rules import jobs as job_rules
from bot.rules.conversation import in_hand_for
from bot.rules.ranges import range_for
from bot.rules.scales import as_read
from bot.store import logbook
from bot.team import Client, Limits, Tank
from bot.wording import batches
from bot.wording import lookups as wording
from bot.wording.history import Entry

MOST_TANKS = 4


def card(asked: Lookup) -> list[Part]:
    """How a tank is: its card; of a site, a line for each tank."""
    if len(asked.here) == 1:
        return [Part(head=arriving.card(asked.turn, asked.here[0]))]
    return _for_each(asked, _how)


def _how(asked: Lookup, tank: Tank) -> str:
    found = watch.points(asked.turn, tank.name)
    following = asked.plan.next_visit(tank)
    return wording.how(
        tank.name,
        found[0].text if found else None,
        asked.plan.last_day(tank.name),
        following.day if following else None,
        asked.today,
    )


def volume(asked: Lookup) -> list[Part]:
    """The water of a tank, as on file."""
    return _for_each(asked, lambda _, tank: wording.volume(tank.name, tank.volume))


def that_water(asked: Lookup) -> list[Part]:
    """How much a change was that was told of in per cent just now; else the water of the tank."""
    last = logbook.last_said_of_a_tank(asked.turn.db, asked.turn.who.name, asked.turn.message_id)
    for fact in logbook.facts_of(asked.turn.db, [last]) if last else ():
        whole = vats.volume_L(asked.turn, fact.item.tank) if isinstance(fact.item, Event) else None
        lately = asked.turn.now - fact.at <= in_hand_for()
        if lately and isinstance(fact.item, Event) and fact.item.unit == "%" and fact.item.amount and whole:
            said = batches.water(whole * fact.item.amount / 100, vats.us(asked.turn))
            return [Part(head=wording.that_water(fact.item, said, batches.water(whole, vats.us(asked.turn))))]
    return volume(asked)


def limits(asked: Lookup) -> list[Part]:
    """What a test should show there: the tank's own range, else its kind's; of no test, all own ranges."""
    return _for_each(asked, _all_limits)


def _all_limits(asked: Lookup, tank: Tank) -> str:
    tests = [asked.parameter] if asked.parameter else list(tank.ranges) or list(tank.panel)
    return wording.limits(tank.name, [_limits(asked, tank, test) for test in tests])


def _limits(asked: Lookup, tank: Tank, parameter: str) -> wording.Range:
    """The range in the unit in which it was agreed on, or the test is read."""
    own, usual = tank.ranges.get(parameter), range_for(tank, parameter)
    if own or usual is None:
        return wording.Range(parameter, own, own is not None)
    last = _last(asked, tank, parameter)
    unit = last.item.unit if last and isinstance(last.item, Reading) else usual.unit
    low, high = (None if end is None else as_read(parameter, end, unit) for end in (usual.low, usual.high))
    return wording.Range(parameter, Limits(low, high, unit), False)


def _last(asked: Lookup, tank: Tank, parameter: str) -> Entry | None:
    """The last value of a test at a tank."""
    found = [f for f in latest(asked.turn, tank.name) if getattr(f.item, "parameter", None) == parameter]
    return next(iter(entries_of(asked.turn, found[:1])), None)


def verdict(asked: Lookup) -> list[Part]:
    """Whether a test is as it should be: its last value beside the range; whoever asks draws the conclusion."""
    return _for_each(asked, _verdict)


def _verdict(asked: Lookup, tank: Tank) -> str:
    last = _last(asked, tank, asked.parameter)
    return wording.verdict(tank.name, asked.parameter, last, _limits(asked, tank, asked.parameter), asked.today)


def notes(asked: Lookup) -> list[Part]:
    """What somebody should know before going there: notes of the tank and the client, what to watch."""
    return _for_each(asked, _notes)


def _notes(asked: Lookup, tank: Tank) -> str:
    client = asked.turn.team.client_of(tank)
    found = watch.points(asked.turn, tank.name)
    of_site = str(client.data.get("notes") or "") if client else ""
    return wording.notes(tank.name, [of_site, tank.notes or ""], found[0].text if found else None)


def minutes(asked: Lookup) -> list[Part]:
    """How long a visit takes there, as the last ones did."""
    return _for_each(asked, lambda a, tank: wording.minutes(tank.name, a.plan.minutes(tank), a.plan.is_learned(tank)))


def panel(asked: Lookup) -> list[Part]:
    """What is usually tested there."""
    return _for_each(asked, lambda _, tank: wording.panel(tank.name, tank.panel))


def contact(asked: Lookup) -> list[Part]:
    """Where a client is and whom to ask for."""
    return _for_client(asked, lambda client: wording.contact(client.name, client.address, client.contact))


def contract(asked: Lookup) -> list[Part]:
    """When contract, keys and codes of a client end."""
    ends = renewals.ends(asked.turn)
    if not asked.named:
        return [
            Part(
                head="\n".join(wording.ends(c, [(w, d)], asked.today) for c, w, d in ends[:MOST_TANKS])
                or wording.NO_ENDS
            )
        ]
    return _for_client(
        asked, lambda client: wording.ends(client.name, [(w, d) for c, w, d in ends if c == client.name], asked.today)
    )


def jobs_here(asked: Lookup) -> list[Part]:
    """What is to be done at a tank; without one, the jobs of whoever asks."""
    if asked.here:
        return _for_each(asked, _jobs)
    own = [j.text for j in jobs.of_person(asked.turn, asked.turn.who.name) if job_rules.is_due(j, asked.today)]
    return [Part(head=wording.jobs(None, own))]


def _jobs(asked: Lookup, tank: Tank) -> str:
    following = calendar.following(tank, asked.today)
    found = jobs.at_visit(jobs.still_open(asked.turn), tank.name, asked.today, following)
    return wording.jobs(tank.name, [job.text for job in found])


def next_visit(asked: Lookup) -> list[Part]:
    """When somebody is there next, and who; without a tank, the next visits of the round."""
    at_desk = asked.turn.who.role in ("office", "owner")
    plan, tanks = asked.plan, asked.named if at_desk else asked.here
    tanks = tanks or list(asked.turn.team.tanks)
    if asked.is_dated:
        found = [p for p in plan.planned(asked.day, asked.last_day) if p.tank in tanks]
    else:
        found = sorted((p for t in tanks if (p := plan.next_visit(t))), key=lambda p: p.day)
    shown = [(calendar.called(site, names), day, who) for (site, day, who), names in _by_stop(found).items()]
    return [Part(head=wording.next_visits(shown[:MOST_TANKS], len(shown) - MOST_TANKS, asked.today))]


def _by_stop(found: Sequence[Planned]) -> dict[tuple[str, date, str | None], list[str]]:
    """The tanks of each stop: a site on a day with the same person."""
    stops: dict[tuple[str, date, str | None], list[str]] = {}
    for planned in found:
        stops.setdefault((planned.site, planned.day, planned.who), []).append(planned.tank.name)
    return stops


def _for_each(asked: Lookup, say: Callable[[Lookup, Tank], str]) -> list[Part]:
    """A line for each tank meant; without one, its name is asked for."""
    lines = [say(asked, tank) for tank in asked.here[:MOST_TANKS]]
    return [Part(head="\n".join(lines) if lines else WHICH)]


def _for_client(asked: Lookup, say: Callable[[Client], str]) -> list[Part]:
    """A line for each client whose tank is meant, in hand, or who is named."""
    owners = [c for tank in asked.here if (c := asked.turn.team.client_of(tank))]
    found = list(dict.fromkeys(c.name for c in owners))
    lines = [say(c) for c in asked.turn.team.clients if c.name in found]
    return [Part(head="\n".join(lines[:MOST_TANKS]) if lines else wording.WHICH_CLIENT)]
