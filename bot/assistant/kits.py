"""Which kit a test was made with: an expired one is asked about, a suspect lot is named once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.assistant import judging, kits_in_use
from bot.assistant.kits_in_use import Taken, kit_of
from bot.assistant.setup_tanks import stored
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Reading, Setting, Understood
from bot.rules import kits as rules
from bot.rules.kits import Kit
from bot.store import logbook
from bot.store.logbook import Fact
from bot.wording import kits as wording

_RANK = 12
_MANY = 2000


def take(turn: Turn, item: Item) -> list[Part]:
    """A kit taken into use; one that has expired already is said so at once."""
    assert isinstance(item, Setting)
    kit = kit_of(item)
    expired = (wording.expired(kit),) if rules.is_expired(kit, turn.local(turn.said_at).date()) else ()
    return stored(turn, item, wording.in_use(kit), lines=expired)


def look(turn: Turn, understood: Understood, parts: list[Part]) -> list[Part]:
    """Whether the lot that a test of this message was made with is odd in several tanks; said once a lot."""
    facts = [f for f in logbook.facts_of(turn.db, [turn.message_id]) if not f.void and _is_test(f)]
    found = (_suspicion(turn, f) for f in facts)
    return [Part(remark=(_RANK, words)) for words in found if words]


def _is_test(fact: Fact) -> bool:
    return isinstance(fact.item, Reading) and fact.item.of == "tank" and fact.item.tank is not None


def _suspicion(turn: Turn, fact: Fact) -> str | None:
    item = fact.item
    assert isinstance(item, Reading)
    taken = kits_in_use.taken(turn, item.parameter)
    kit = kits_in_use.in_use(taken, fact.who, fact.at)
    if kit is None or _said_before(turn, kit):
        return None
    suspicion = rules.suspect(_tests(turn, fact, item.parameter, taken), kit.lot)
    if suspicion is None:
        return None
    turn.keep(Control("suspect", parameter=kit.parameter, subject=kit.lot))
    return wording.suspect(item.parameter, suspicion)


def _said_before(turn: Turn, kit: Kit) -> bool:
    found = logbook.events(turn.db, None, [kit.parameter], kind="control", limit=_MANY)
    return any(isinstance(f.item, Control) and (f.item.action, f.item.subject) == ("suspect", kit.lot) for f in found)


def _tests(turn: Turn, fact: Fact, parameter: str, taken: Sequence[Taken]) -> list[rules.ByLot]:
    """The newest test of each tank with each lot within the last weeks."""
    since = fact.at - timedelta(days=table("kits")["suspect"]["within"]["value"])
    found = logbook.events(turn.db, None, [parameter], since, fact.at, kind="reading", limit=_MANY)
    newest: dict[tuple[str, str], Fact] = {}
    for each in (f for f in found if _is_test(f)):
        kit = kits_in_use.in_use(taken, each.who, each.at)
        newest.setdefault((str(getattr(each.item, "tank", "")), kit.lot if kit else _UNKNOWN), each)
    return [_tested(turn, tank, lot, each) for (tank, lot), each in newest.items()]


_UNKNOWN = "no lot"


def _tested(turn: Turn, tank: str, lot: str, fact: Fact) -> rules.ByLot:
    way = judging.jump(turn, fact)
    return rules.ByLot(tank, lot, fact.at, way != 0, way > 0)
