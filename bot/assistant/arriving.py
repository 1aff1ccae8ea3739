"""On arrival: the tank is in hand, its card in one screen, and colleagues at the same tank hear of each other."""

from __future__ import annotations

from collections.abc import Sequence

from bot.assistant import calendar, history, jobs, people, plan, quarantine, watch
from bot.assistant.calendar import Calendar
from bot.assistant.conversation import let_go, tank_in_hand
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item, Reading
from bot.messages import Button, Outgoing
from bot.rules.conversation import in_hand_for
from bot.rules.jobs import Job
from bot.store.database import epoch, rows
from bot.team import Tank
from bot.wording import arriving as wording

MOST_READINGS = 5
BUTTONS = (Button("Plan", "ar:plan"), Button("History", "ar:history"), Button("Not here", "ar:not"))


def take(turn: Turn, item: Item) -> list[Part]:
    """The card of the tank that the technician stands at."""
    assert isinstance(item, Control)
    name = item.tank or (turn.situation.tank if turn.situation else None) or tank_in_hand(turn)
    tank = turn.tank(name)
    if tank is None:
        return [Part(head="Which tank are you at? Send its name: here oak lobby.")]
    colleagues = _colleagues(turn, tank.name)
    told = tuple(_told(turn, c, tank) for c in colleagues)
    return [Part(head=card(turn, tank, colleagues), tank=tank.name, others=told, buttons=BUTTONS)]


def card(turn: Turn, tank: Tank, colleagues: Sequence[str] = ()) -> str:
    """The card itself, in four lines."""
    days = calendar.now(turn)
    head = wording.head(tank.name, days.last_day(tank.name), days.today, _planned(days, tank))
    return "\n".join([head, *_lines(turn, days, tank, colleagues)])


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Plan], [History], [Not here] under the card."""
    tank = turn.tank(tank_in_hand(turn))
    if tank is None:
        return [Part(head="No tank is in hand. Send: here, with the tank's name.")]
    if args[0] == "plan":
        return plan.told(turn, tank)
    if args[0] == "history":
        return history.take(turn, Control("history", tank=tank.name))
    let_go(turn)
    return [Part(head=f"{tank.name} put down. Where are you? Send: here, with the tank's name.")]


def claimed(turn: Turn, item: Item) -> list[Part]:
    """ "i've got the glass": whoever else is at the tank hears whose job it is now."""
    assert isinstance(item, Control)
    tank = tank_in_hand(turn)
    if tank is None or not item.subject:
        return []
    colleagues = _colleagues(turn, tank)
    words = wording.claimed(turn.who.name, tank, item.subject)
    told = tuple(people.told(turn, name, words) for name in colleagues)
    return [Part(head=wording.noted_claim(tank, item.subject, colleagues), others=told)]


def _planned(days: Calendar, tank: Tank) -> float | None:
    """Minutes planned, where a visit is agreed on or the time is known."""
    known = calendar.rule_of(tank) or days.is_learned(tank)
    return days.minutes(tank) if known else None


def _lines(turn: Turn, days: Calendar, tank: Tank, colleagues: Sequence[str]) -> list[str]:
    """At most three: the last numbers, what to watch, what is to be done; what must be known on site goes along."""
    found = watch.points(turn, tank.name)
    shown = wording.watch(found[0].text if found else None)
    todo = wording.jobs([job.text for job in _jobs(turn, days, tank)])
    said = [
        quarantine.card(turn, tank),
        wording.last(_last_readings(turn, tank)),
        wording.hazard(_notes(turn, tank)),
        shown,
        todo,
    ]
    return wording.fitted([wording.also_here(colleagues), *said])


def _notes(turn: Turn, tank: Tank) -> str | None:
    """What must be known on site: of the client's place, then of the tank."""
    client = turn.team.client_of(tank)
    of_site = str(client.data.get("notes") or "") if client else ""
    return ". ".join(filter(None, (of_site.rstrip("."), tank.notes))) or None


def _last_readings(turn: Turn, tank: Tank) -> list[Reading]:
    """The newest of the tank's panel (or of whatever is measured there), in the panel's order."""
    found = {f.item.parameter: f.item for f in watch.latest(turn, tank.name) if isinstance(f.item, Reading)}
    return [found[p] for p in tank.panel or found if p in found][:MOST_READINGS]


def _jobs(turn: Turn, days: Calendar, tank: Tank) -> list[Job]:
    following = calendar.following(tank, days.today)
    return jobs.at_visit(jobs.still_open(turn), tank.name, days.today, following)[:MOST_READINGS]


def _told(turn: Turn, name: str, tank: Tank) -> Outgoing:
    return Outgoing(name, f"{tank.name}: {wording.also_here([turn.who.name])}", unasked=True)


def _colleagues(turn: Turn, tank: str) -> list[str]:
    """Who else has this tank in hand just now; the office speaks of tanks from its desk."""
    sql = "select distinct who from conversation where tank = ? and tank_at > ? and who <> ?"
    found = [r["who"] for r in rows(turn.db, sql, [tank, epoch(turn.now - in_hand_for()), turn.who.name])]
    return [who for who in found if (person := turn.team.person(who)) and person.role != "office"]
