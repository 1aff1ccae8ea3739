"""The order of a visit: told with clock times, taken by [Go], worked out anew as things really go."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Any, Concatenate, ParamSpec

from bot.assistant import asking, calendar, jobs, learner_steps, people
from bot.assistant.calendar import Calendar
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Event, Item, Understood, Wait
from bot.messages import Button
from bot.rules import visit_steps as rules
from bot.rules.jobs import Job
from bot.rules.plan import NOW, Impossible
from bot.rules.visit_steps import Order, Scene
from bot.store import conversations, logbook
from bot.store.database import instant
from bot.store.pending import Pending
from bot.team import Tank
from bot.wording import plan as wording
from bot.wording.plan import Timed

P = ParamSpec("P")
BUTTONS = (Button("Go", "vp:go"), Button("Why", "vp:why"), Button("Leave out", "vp:out"))
LATE_MIN = 5.0


def take(turn: Turn, item: Item) -> list[Part]:
    """ "plan", "only 40 min today": the order of what is left of this visit."""
    assert isinstance(item, Control)
    tank = turn.tank(item.tank) or turn.tank(tank_in_hand(turn))
    if tank is None:
        return [Part(head=wording.which())]
    return told(turn, tank, item.minutes)


def told(turn: Turn, tank: Tank, minutes: float | None = None) -> list[Part]:
    """The plan in words; kept beside the conversation, so that [Go] means this one."""
    scene = scene_of(turn, tank)
    try:
        found = rules.order(scene) if minutes is None else rules.within(scene, minutes)
    except Impossible:
        return [Part(head=wording.impossible(_most_urgent(scene)), tank=tank.name)]
    if not found.plan.starts_min:
        return [Part(head=wording.nothing_left(), tank=tank.name)]
    _remember(turn, tank, found, going=False)
    if turn.who.role == "learner":
        return learner_steps.first(turn, tank.name, timed(turn, found))
    return [_shown(turn, tank, found, minutes)]


def _shown(turn: Turn, tank: Tank, found: Order, minutes: float | None) -> Part:
    fits = minutes is None or found.plan.out_min <= minutes
    gone = wording.left_out(found.left_out, minutes or 0.0, fits)
    head = wording.head(turn.local(turn.now), _out(turn, found), found.gain_min)
    first = f"{head}. {gone}" if gone else head
    return Part(head="\n".join((first, *wording.steps(timed(turn, found)))), tank=tank.name, buttons=BUTTONS)


def timed(turn: Turn, found: Order) -> list[Timed]:
    """The steps with when they start."""
    now = turn.local(turn.now)
    return [Timed(n, now + timedelta(minutes=found.plan.starts_min[n])) for n in found.plan.order]


def _out(turn: Turn, found: Order) -> datetime:
    return turn.local(turn.now) + timedelta(minutes=found.plan.out_min)


def scene_of(turn: Turn, tank: Tank) -> Scene:
    """What there is to do at the tank, and what of it is done."""
    plan = calendar.now(turn)
    told = [job.text for job in _jobs(turn, plan, tank)]
    scene = rules.scene_of(
        tank.kind, told, done=_done(turn, tank), others=_others(plan, tank), hands=_hands(turn, tank),
        left_out=frozenset(_kept(turn, tank).get("left_out", ())), waits=turn.team.data.get("waits"),
    )  # fmt: skip
    return replace(scene, factor=rules.factor(scene, plan.minutes(tank))) if plan.is_learned(tank) else scene


def _jobs(turn: Turn, plan: Calendar, tank: Tank) -> list[Job]:
    following = calendar.following(tank, plan.today)
    return jobs.at_visit(jobs.still_open(turn), tank.name, plan.today, following)


def _done(turn: Turn, tank: Tank) -> dict[str, float]:
    """Minutes since each thing that was said of this visit, the latest of its kind."""
    midnight = datetime.combine(turn.local(turn.now).date(), time(), turn.zone)
    kinds = ("reading", "event", "wait", "control")
    facts = [f for kind in kinds for f in logbook.events(turn.db, tank.name, since=midnight, kind=kind)]
    found: dict[str, float] = {}
    for fact in facts:
        ago = (turn.now - fact.at) / timedelta(minutes=1)
        for mark in _marks(fact.item):
            found[mark] = max(min(ago, found.get(mark, ago)), 0.0)
    return found


def _marks(item: Item) -> Sequence[str]:
    """What a fact shows to be done, in the words of facts/visit_steps.toml."""
    if isinstance(item, Event):
        state = f".{item.state}" if item.event == "equipment" and item.state else ""
        thing = (item.subject or "").casefold()
        marks = [f"event.{item.event}{state}"]
        tops = [f"{marks[0]}.{w}" for w in ("top", "autofill") if w in thing or (w == "top" and thing == "ato")]
        return tops or marks
    if isinstance(item, Wait):
        return (f"wait.{item.wait}", *([f"wait.{item.wait}.{item.step}"] if item.step else []))
    if isinstance(item, Control):
        return (f"done.{item.wait}",) if item.action == "done" and item.wait else ()
    return (item.kind,)


def _others(plan: Calendar, tank: Tank) -> Mapping[str, float]:
    """The other tanks of the site that are due today, with their minutes."""
    site = calendar.site_of(tank)
    there = [p for p in plan.planned(plan.today) if p.site == site and p.tank.name != tank.name]
    return {p.tank.name: p.minutes for p in there}


def _hands(turn: Turn, tank: Tank) -> int:
    return max(len({*people.on_site(turn, tank.name), turn.who.name}), 1)


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Go], [Why], [Leave out] under a plan."""
    tank = turn.tank(_kept(turn).get("tank"))
    return _PRESSES[args[0]](turn, tank) if tank else []


def _go(turn: Turn, tank: Tank) -> list[Part]:
    found = _found(turn, tank)
    if found is None:
        return [Part(head=wording.impossible(_most_urgent(scene_of(turn, tank))))]
    _remember(turn, tank, found, going=True)
    steps = timed(turn, found)
    return [Part(head=wording.going(steps[0]))] if steps else [Part(head=wording.nothing_left())]


def _why(turn: Turn, tank: Tank) -> list[Part]:
    found = _found(turn, tank)
    if found is None:
        return [Part(head=wording.impossible(_most_urgent(scene_of(turn, tank))))]
    hands = sum(step.minutes for step in found.visit.steps)
    beside = [(k.step, s.name, k.least_min) for s in found.visit.steps for k in s.after if k.least_min > 0]
    lines = wording.why(hands, sorted(beside, key=lambda w: -w[2]), found.plan.proved)
    return [Part(head=lines[0], lines=tuple(lines[1:]), buttons=BUTTONS[:1])]


def _which_part(turn: Turn, tank: Tank) -> list[Part]:
    parts = rules.parts_of(scene_of(turn, tank))
    if not parts:
        return [Part(head=wording.cannot_leave())]
    return [Part(ask=Ask(wording.ask_part(), tuple((p.capitalize(), p) for p in parts[:3]), "plan", "plan"))]


def part_named(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The part that is to go: the plan without it."""
    tank = turn.tank(_kept(turn).get("tank"))
    if value is None or tank is None:
        return None
    kept = {**_kept(turn), "left_out": sorted({*_kept(turn).get("left_out", ()), value})}
    _keep(turn, kept)
    return [*told(turn, tank), *asking.settled(turn, question)]


_PRESSES: dict[str, Callable[[Turn, Tank], list[Part]]] = {"go": _go, "why": _why, "out": _which_part}


def followed(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """While a plan is being followed: the door, where what was said moves it."""
    return _moved(turn) if any(p.stored for p in parts) else []


def then(act: Callable[Concatenate[Turn, P], list[Part]]) -> Callable[Concatenate[Turn, P], list[Part]]:
    """The same after a press that did something."""

    def acted(turn: Turn, /, *args: P.args, **named: P.kwargs) -> list[Part]:
        parts = act(turn, *args, **named)
        return [*parts, *_moved(turn)] if any(p.stored for p in parts) else parts

    return acted


def _moved(turn: Turn) -> list[Part]:
    kept = _kept(turn)
    tank = turn.tank(kept.get("tank"))
    if not kept.get("going") or tank is None:
        return []
    found = _found(turn, tank)
    if found is None:
        return [Part(remark=(60, f"Watch: {wording.impossible(_most_urgent(scene_of(turn, tank)))}"))]
    was, out = turn.local(instant(kept["out"])), _out(turn, found)
    if not found.plan.starts_min or abs((out - was) / timedelta(minutes=1)) < LATE_MIN:
        return []
    _remember(turn, tank, found, going=True)
    return [Part(remark=(200, wording.moved(out, was, found.plan.order[0])))]


def _found(turn: Turn, tank: Tank) -> Order | None:
    try:
        return rules.order(scene_of(turn, tank))
    except Impossible:
        return None


def _most_urgent(scene: Scene) -> str | None:
    """The step whose longest time runs out first."""
    limits = [(k.most_min, s.name) for s in rules.visit_of(scene).steps for k in s.after if k.step == NOW]
    return min(limits)[1] if limits else None


def _remember(turn: Turn, tank: Tank, found: Order, going: bool) -> None:
    out = _out(turn, found).timestamp()
    _keep(turn, {"tank": tank.name, "out": out, "going": going, "left_out": list(found.left_out), "at": _stamp(turn)})


def _keep(turn: Turn, plan: Mapping[str, Any]) -> None:
    known = conversations.conversation(turn.db, turn.chat)
    conversations.carry_on(turn.db, turn.message_id, turn.chat, data={**known.data, "plan": dict(plan)})


def _kept(turn: Turn, tank: Tank | None = None) -> Mapping[str, Any]:
    """The plan that is kept beside the conversation: of this tank, and of this visit."""
    kept: Mapping[str, Any] = conversations.conversation(turn.db, turn.chat).data.get("plan") or {}
    lasts = float(table("visit_steps")["kept"]["value"]) * 60
    fresh = kept and _stamp(turn) - float(kept.get("at", 0)) < lasts
    return kept if fresh and (tank is None or kept["tank"] == tank.name) else {}


def _stamp(turn: Turn) -> float:
    return turn.now.timestamp()
