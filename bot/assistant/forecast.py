"""V1: new water made in time. Each evening, on Fridays for the week, at once where a change of plan breaks it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta

from bot.assistant import calendar, evening, people, running, vats
from bot.assistant.drawing import OTHER
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Batch, Event, Item, Quantity, Schedule, Understood
from bot.rules import batches as batch_rules
from bot.rules import forecast as rules
from bot.rules.forecast import Day, Draw, Ready, Rest
from bot.science.inputs import in_unit
from bot.science.salt_balance import salt_to_raise_g
from bot.store import batches as store
from bot.store import logbook, reminders
from bot.store.reminders import Reminder
from bot.team import Tank
from bot.wording import forecast as wording

KIND = "water"
_LISTED_DAYS = 7


def days(turn: Turn, first: date, last: date) -> list[Day]:
    """What each day from the first to the last needs, what is ready, and what to mix by when."""
    today = turn.local(turn.now).date()
    drawn = draws(turn, max(first, today), last)
    starts = {d.day: _start(turn, d.day) for d in drawn}
    rests = {kind: _rest(turn, kind) for kind in ("salt", "fresh")}
    found = rules.days(drawn, _ready(turn), starts, rests, turn.local(turn.now))
    return [d for d in found if first <= d.day <= last]


def draws(turn: Turn, first: date, last: date) -> list[Draw]:
    """What the tanks of the planned visits are expected to take from the vats."""
    planned = calendar.now(turn).planned(first, last)
    return [draw for p in planned if (draw := _draw(turn, p.tank, p.day))]


def salt_a_day_g(turn: Turn) -> float:
    """The mix that the salt water of the planned visits will take, grams a day over the next week."""
    today = turn.local(turn.now).date()
    week = draws(turn, today + timedelta(days=1), today + timedelta(days=_LISTED_DAYS))
    litres = sum(d.litres for d in week if d.kind == "salt" and not d.assumed)
    a_litre = turn.team.data.get("salt_g_per_L_at_35") or salt_to_raise_g(1, 0, 35.0, 25.0)
    return litres * float(a_litre) / _LISTED_DAYS


def asked(turn: Turn, item: Item) -> list[Part]:
    """ "water for thursday?", "what do we need to mix"."""
    assert isinstance(item, Batch)
    now, us = turn.local(turn.now), vats.us(turn)
    when = item.at.date() if item.at else None
    last = when or now.date() + timedelta(days=_LISTED_DAYS)
    found = days(turn, when or now.date(), last)
    shown = found if when else [d for d in found if d.is_short] or found
    if not shown:
        return [Part(head=wording.nothing(when, now.date()))]
    head, *lines = [wording.line(d, now, us) for d in shown[:3]]
    return [Part(head=head, lines=tuple(lines))]


def watch(turn: Turn) -> None:
    """From the first batch on, the days ahead are looked at every evening; each batch may end a shortage."""
    watching = reminders.set_ones(turn.db, KIND)
    if not watching:
        reminders.set_reminder(turn.db, turn.message_id, KIND, evening.next_one(turn), told={})
    elif watching[0].data.get("told"):
        _still_short(turn, watching[0])


def _still_short(turn: Turn, reminder: Reminder) -> None:
    """What was said of days that are no longer short is forgotten, so that it can be said again."""
    told, short = reminder.data["told"], _told_of(_ahead(turn))
    left = {key: min(told[key], short[key]) for key in told if key in short}
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, data={"told": left})


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """The line of the evening; nothing where no water is needed."""
    if not store.is_in_use(turn.db):
        reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
        return []
    found, told = _ahead(turn), reminder.data.get("told", {})
    to = _mixer(turn)
    words = _evening(turn, found, told) if to else ""
    told = _told_of(found) if to else told
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, at=evening.next_one(turn), data={"told": told})
    return [Part(others=(people.told(turn, to, words),))] if words and to else []


def broken(turn: Turn, understood: Understood, _: Sequence[Part]) -> list[Part]:
    """A change of plan, or water lost, that leaves a day short: said at once, once."""
    watching = reminders.set_ones(turn.db, KIND)
    if not watching or not any(_may_break(turn, i) for i in understood.items):
        return []
    known = watching[0].data.get("told", {})
    found = [d for d in _ahead(turn) if _is_new(d, known)]
    if not found:
        return []
    told = {**known, **_told_of(found)}
    reminders.alter_reminder(turn.db, turn.message_id, watching[0].id, data={"told": told})
    words = wording.broken(found[0], turn.local(turn.now), vats.us(turn))
    to = _mixer(turn)
    others = (people.told(turn, to, words),) if to and to != turn.who.name else ()
    return [Part(remark=(_RANK, words), others=others)]


def usual_change(turn: Turn, tank: Tank) -> tuple[float | None, bool]:
    """The litres that are usually changed there, and whether that is only assumed."""
    whole = vats.volume_L(turn, tank.name)
    own = tank.data.get("change")
    if own:
        return batch_rules.litres(own.get("value"), own.get("unit"), whole), False
    count = int(table("batches")["forecast"]["past"]["value"])
    found = [f.item for f in logbook.events(turn.db, tank.name, ["water_change"], limit=count)]
    past = [batch_rules.litres(i.amount, i.unit, whole) for i in found if isinstance(i, Event)]
    usual = rules.usual_L([litres for litres in past if litres is not None])
    if usual is not None or whole is None:
        return usual, False
    return whole * float(table("round")["change"]["value"]) / 100, True


def _draw(turn: Turn, tank: Tank, day: date) -> Draw | None:
    kind = _kind(turn, tank)
    litres, assumed = usual_change(turn, tank) if kind else (None, False)
    return Draw(day, tank.name, kind, litres, assumed) if kind and litres else None


def _kind(turn: Turn, tank: Tank) -> str | None:
    """Which water of ours the tank takes: as last time; never told, salt water does and fresh does not."""
    found = [f.item for f in logbook.events(turn.db, tank.name, ["water_change"], limit=5)]
    last = next((i for i in found if isinstance(i, Event) and (i.vat or i.batch or i.subject == OTHER)), None)
    if last and last.subject == OTHER:
        return None
    holds = vats.holds(turn, last.vat) if last else None
    if holds in ("salt", "fresh"):
        return holds
    return "salt" if batch_rules.suits("salt", tank.kind, "water_change") else None


def _ready(turn: Turn) -> list[Ready]:
    """What stands in the vats, and from when on it may be drawn."""
    found = []
    for water in vats.there(turn):
        stands = vats.standing(turn, water)
        if stands.state in ("stopped", "remixed"):
            continue
        since = turn.local(max(stands.due, turn.now) if stands.state == "resting" and stands.due else turn.now)
        kind = "fresh" if water.subject == "fresh" else "salt"
        found.append(Ready(kind, water.left_L, since, turn.local(water.use_by), water.number))
    return found


def _rest(turn: Turn, kind: str) -> Rest:
    """How long such water rests, by the team's own lengths; fresh water from the membrane needs none."""
    rows = table("batches")["forecast"]
    step = rows["step_us" if vats.us(turn) else "step_metric"]
    step_L, reserve = in_unit(Quantity(step["value"], step["unit"]), "L", "step"), rows["reserve"]["value"] / 100
    if kind == "fresh":
        return Rest(0.0, 0.0, reserve, step_L)
    known = running.kind_of(turn, "mix_rest", None, None)
    return Rest((known.default or 0.0) / 60, known.shortest / 60, reserve, step_L)


def _start(turn: Turn, day: date) -> datetime:
    told = str(turn.team.data.get("day_start") or table("round")["day"]["start"])
    return datetime.combine(day, time.fromisoformat(told), turn.zone)


def _ahead(turn: Turn) -> list[Day]:
    """The next days with visits, today left out."""
    today = turn.local(turn.now).date()
    ahead = timedelta(days=table("batches")["forecast"]["ahead"]["value"])
    return days(turn, today + timedelta(days=1), today + ahead)


def _evening(turn: Turn, found: Sequence[Day], told: Mapping[str, float]) -> str:
    """Tomorrow's line, and what is newly short on later days; on Fridays the week."""
    now, us = turn.local(turn.now), vats.us(turn)
    first = [d for d in found if d.day == now.date() + timedelta(days=1)]
    listed = evening.is_list_day(turn)
    later = [d for d in found if d not in first and (_is_new(d, told) or (listed and d.is_short))]
    lines = [wording.line(d, now, us) for d in (*first, *later)][:_MOST]
    if listed:
        week = days(turn, now.date() + timedelta(days=1), now.date() + timedelta(days=_LISTED_DAYS))
        lines += [wording.week(week, now.date(), us)] if week else []
    return "\n".join(lines)


def _mixer(turn: Turn) -> str | None:
    """Who mixes: as set, else who mixed last, else who is on the road; nobody on a day off."""
    last = [w.who for w in reversed(vats.load(turn))]
    names = [str(turn.team.data.get("mixes") or ""), *last, *(p.name for p in calendar.on_the_road(turn))]
    known = [p.name for n in names if (p := turn.team.person(n))]
    return next((name for name in known if not people.is_off(turn, name)), None)


def _may_break(turn: Turn, item: Item) -> bool:
    """Whether it changes the plan or takes water that was counted on."""
    if isinstance(item, Schedule) or (isinstance(item, Batch) and item.subject in ("dumped", "level")):
        return True
    return isinstance(item, Event) and item.event == "water_change" and _is_more_than_usual(turn, item)


def _is_more_than_usual(turn: Turn, item: Event) -> bool:
    """Whether a change took clearly more than such a change there usually does."""
    tank = turn.tank(item.tank)
    usual = usual_change(turn, tank)[0] if tank else None
    taken = batch_rules.litres(item.amount, item.unit, vats.volume_L(turn, item.tank))
    return usual is not None and taken is not None and taken > usual * _CLEARLY


def _is_new(found: Day, told: Mapping[str, float]) -> bool:
    """Whether it is short by more than was said already."""
    return found.is_short and found.mix_L > told.get(_key(found), 0.0) * _MORE


def _told_of(found: Sequence[Day]) -> dict[str, float]:
    return {_key(d): d.mix_L for d in found if d.is_short}


def _key(found: Day) -> str:
    return f"{found.day.isoformat()} {found.kind}"


_MORE = 1.05
_CLEARLY = 1.2
_MOST = 3
_RANK = 18
