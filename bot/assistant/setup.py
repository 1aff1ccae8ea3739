"""Setting up by chat: each subject has its function here; whoever may not set it is told who may."""

from __future__ import annotations

from bot.assistant import (
    billing_terms,
    group,
    kits,
    setup_clients,
    setup_orders,
    setup_people,
    setup_questions,
    setup_tanks,
    supplies,
)
from bot.assistant.turn import Handler, Part, Turn
from bot.items import Item, Setting
from bot.rules import setup as rules
from bot.wording import setup as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """Sets what was said, and quotes what stands on file now."""
    assert isinstance(item, Setting)
    allowed, act = rules.may(item.subject), _ACTS.get(item.subject)
    if turn.who.role not in allowed:
        return [Part(head=wording.may_not(item.subject, allowed))]
    return act(turn, item) if act else []


_ACTS: dict[str, Handler] = {
    "tank": setup_tanks.new_tank,
    "volume": setup_questions.volume,
    "kind": setup_questions.kind,
    "panel": setup_tanks.panel,
    "range": setup_tanks.limits,
    "copy": setup_tanks.copy,
    "retire": setup_tanks.retire,
    "rename": setup_tanks.rename,
    "nickname": setup_tanks.nickname,
    "animals": setup_tanks.animals,
    "invertebrates": setup_tanks.invertebrates,
    "hydrometer": setup_tanks.hydrometer,
    "instrument": setup_tanks.instrument,
    "owner": setup_tanks.owner,
    "vat": setup_clients.vat,
    "client": setup_clients.client,
    "tap": setup_clients.tap,
    "site_note": setup_clients.site_note,
    "code": setup_clients.code,
    "kit": kits.take,
    "supply": supplies.terms,
    "salt_yield": supplies.salt_yield,
    "person": setup_people.person,
    "role": setup_people.role,
    "backup": setup_people.backup,
    "on_call": setup_people.of_team,
    "deputy": setup_people.of_team,
    "quiet_hours": setup_people.quiet_hours,
    "units": setup_people.units,
    "emergency": setup_people.emergency,
    "order": setup_orders.order,
    "course": setup_orders.course_over,
    "topic": group.bind,
    "price": billing_terms.price,
    "contract": billing_terms.ends,
    "expiry": billing_terms.ends,
}
