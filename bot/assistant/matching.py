"""G2 with numbers: a batch beside the tank's readings of this visit, beside its target, and what to do first."""

from __future__ import annotations

from datetime import timedelta

from bot.assistant import vats
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Reading
from bot.rules import matching as rules
from bot.rules.batches import NewWater
from bot.rules.matching import Gap, Mixture, Sample
from bot.science.salt_balance import salt_to_raise_g
from bot.store import batches as store
from bot.store import logbook
from bot.team import Tank
from bot.wording import matching as wording

_REMARK = 15


def gate_answers(turn: Turn, water: NewWater) -> tuple[dict[str, str], str | None]:
    """What the numbers of a batch answer of its gate, and what to do first where it is off."""
    given: dict[str, str] = {}
    off = _off_target(turn, water)
    left = still_to_test(turn, water)
    if off or water.last_seen("clear", "cloudy") == "cloudy":
        given["match"] = "not_matched"
    elif not [name for name in left if name not in ("chlorine", "ammonia")]:
        given["match"] = "matched"
    strip = {"clear": "strip_clear", "shows": "strip_colour", "none": "no_tap"}.get(vats.chlorine(turn, water))
    ammonia = vats.sample(turn, water).ammonia
    given |= {"chlorine": strip} if strip else {}
    given |= {} if ammonia is None else {"ammonia": "ammonia_zero" if ammonia == 0 else "ammonia_shows"}
    return given, _first(turn, off, water, water.left_L) if off else None


def still_to_test(turn: Turn, water: NewWater) -> list[str]:
    """What has not been measured since the batch was made."""
    known = vats.sample(turn, water)
    tests: list[str] = table("batches")[water.subject]["tests"]
    left = [name for name in tests if getattr(known, name) is None]
    return [*left, *(["chlorine"] if vats.chlorine(turn, water) == "untested" else [])]


def is_answered(turn: Turn, water: NewWater) -> bool:
    """Whether somebody answered at the end of its rest, within a day, that the batch matches."""
    row = store.rest(turn.db, water.number)
    pressed = row is not None and row.state == "done" and row.data.get("answers", {}).get("match") == "matched"
    within = timedelta(hours=table("batches")["fresh_enough"]["temperature"]["value"])
    by_hand = pressed and bool(still_to_test(turn, water))
    return bool(by_hand and row and row.ended_at and turn.now - row.ended_at <= within)


def can_be_asked(turn: Turn, water: NewWater) -> bool:
    """Whether its match must be answered: it rested with us, and nobody has answered for it yet."""
    return store.rest(turn.db, water.number) is not None and not is_answered(turn, water)


def tested_lately(turn: Turn, water: NewWater) -> bool:
    """Whether its temperature and, of salt water, its salinity were read within a day."""
    within = timedelta(hours=table("batches")["fresh_enough"]["temperature"]["value"])
    found = store.readings(turn.db, water.vat, turn.now - within)
    wanted = {"temperature", *(["salinity"] if water.subject != "fresh" else [])}
    return wanted <= {r.parameter for _, r in found}


def tank_sample(turn: Turn, tank: str) -> Sample:
    """The tank's confirmed readings of this visit."""
    since = turn.now - timedelta(hours=table("batches")["fresh_enough"]["tank"]["value"])
    found = logbook.events(turn.db, tank, since=since, kind="reading")
    own = [(f.at, f.item) for f in reversed(found) if isinstance(f.item, Reading) and f.item.of == "tank"]
    return rules.sample([(at, r) for at, r in own if not r.unconfirmed], turn.now, "tank")


def gaps(turn: Turn, water: NewWater, tank: Tank) -> list[Gap]:
    """How far the batch is from the tank, where both were measured."""
    return rules.gaps(vats.sample(turn, water), tank_sample(turn, tank.name), parameters(water))


def unknown(turn: Turn, water: NewWater, tank: Tank) -> dict[str, list[str]]:
    """What of the two has not been measured lately."""
    return rules.unknown(vats.sample(turn, water), tank_sample(turn, tank.name), parameters(water))


def parameters(water: NewWater) -> tuple[str, ...]:
    """What must match of such water."""
    return rules.asked_of(water.subject, water.source)


def why_not(turn: Turn, water: NewWater, found: list[Gap], drawn_L: float | None) -> tuple[str, str]:
    """How far apart, and what to do first: two pieces of a line."""
    us = vats.us(turn)
    apart = ", ".join(wording.gap(g, us) for g in found)
    return apart, _first(turn, found[0], water, drawn_L or water.left_L)


def mixture(turn: Turn, water: NewWater, tank: Tank, drawn_L: float | None) -> Mixture | None:
    """What the change makes of the tank; None where its volumes are not known."""
    whole = vats.volume_L(turn, tank.name)
    if not whole or not drawn_L:
        return None
    return rules.mixture(tank_sample(turn, tank.name), vats.sample(turn, water), whole, min(drawn_L, whole))


def remark(turn: Turn, water: NewWater, tank: Tank, drawn_L: float | None) -> tuple[int, str] | None:
    """The one thing worth saying of a mixture: ammonia that the new water's pH sets free."""
    after = mixture(turn, water, tank, drawn_L)
    return (_REMARK, wording.ammonia(after)) if after and rules.raises_ammonia(after) else None


def beside(turn: Turn, water: NewWater, tank_name: str | None) -> list[Part]:
    """A batch beside the tank in hand, where that was tested on this visit: it matches, or what to do first."""
    tank = turn.tank(tank_name)
    if tank is None or tank_sample(turn, tank.name) == Sample():
        return []
    found = gaps(turn, water, tank)
    change_L = usual_change_L(turn, tank)
    if found:
        apart, first = why_not(turn, water, found, min(change_L or water.left_L, water.left_L))
        return [Part(lines=(wording.differs(water.vat or "It", tank.name, apart), f"Next: {first}"))]
    if any(unknown(turn, water, tank).values()):
        left = wording.not_known(unknown(turn, water, tank), water.number, tank.name)
        return [Part(lines=(f"Not measured lately: {left}",))]
    after = mixture(turn, water, tank, change_L)
    said = remark(turn, water, tank, change_L)
    return [Part(lines=(wording.matches(water.vat or "It", tank.name, after, vats.us(turn)),), remark=said)]


def usual_change_L(turn: Turn, tank: Tank) -> float | None:
    """The litres that are usually changed there: set, else as last time."""
    from bot.rules.batches import litres

    whole = vats.volume_L(turn, tank.name)
    own = tank.data.get("change")
    if own:
        return litres(own.get("value"), own.get("unit"), whole)
    last = logbook.events(turn.db, tank.name, ["water_change"], limit=1)
    return litres(getattr(last[0].item, "amount", None), getattr(last[0].item, "unit", None), whole) if last else None


def _off_target(turn: Turn, water: NewWater) -> Gap | None:
    """A batch whose salinity is not what it was mixed to."""
    known = vats.sample(turn, water)
    if water.target_PSU is None:
        return None
    found = rules.gaps(known, Sample(salinity=water.target_PSU), ("salinity",))
    return found[0] if found else None


def _first(turn: Turn, gap: Gap, water: NewWater, litres: float) -> str:
    vat = turn.team.vat(water.vat)
    own = vat.data.get("heater_W") if vat else None
    watts = float(own or table("batches")["heater"]["value"])
    found = rules.remedy(gap, litres, _mix_per_dry(turn), watts)
    return wording.first(found, vats.us(turn), assumed=own is None)


def _mix_per_dry(turn: Turn) -> float:
    """Grams of the team's mix that hold a gram of dry salt; 1 where nobody measured it."""
    stated = turn.team.data.get("salt_g_per_L_at_35")
    return float(stated) / salt_to_raise_g(1, 0, 35.0, 25.0) if stated else 1.0
