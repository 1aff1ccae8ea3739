"""Going on past a gate: by whom the table allows, with a reason that is kept."""

from __future__ import annotations

from bot.assistant import ending, gates, running, which
from bot.assistant.running import Running
from bot.assistant.turn import Part, Turn
from bot.items import Control, Item
from bot.rules import gates as rules
from bot.rules import waits as wait_rules
from bot.store import waits as store
from bot.wording import gates as wording


def take(turn: Turn, item: Item) -> list[Part]:
    """ "override: reason" in words: of the gate that holds this person, or of what was replied to."""
    assert isinstance(item, Control)
    found = which.referred(turn) or store.held_back(turn.db)
    held = [running.of(turn, w) for w in found if w.data.get("held") and _is_theirs(turn, w)]
    if not held:
        return _not_held(turn)
    if len(held) > 1:
        return [which.ask(turn, held, "override", turn.text)]
    return override(turn, held[0], item.reason or "")


def _not_held(turn: Turn) -> list[Part]:
    """A gate whose question is open holds by that question alone: it is put again, no reason stands in for it."""
    waiting = [running.of(turn, w) for w in store.open_waits(turn.db, owner=turn.who.name) if w.state == "gate"]
    return gates.ask_again(turn, waiting[0]) if waiting else [Part(lines=("Nothing of yours is on HOLD.",))]


def override(turn: Turn, it: Running, reason: str) -> list[Part]:
    """Goes on past what holds it, where the table lets this person, with the reason kept."""
    allowed = _overriders(turn, it)
    if turn.who.role not in allowed:
        return [Part(head=wording.no_override(it.shown.full, allowed))]
    if not rules.enough_reason(reason):
        return [Part(head=wording.more_reason(it.shown.full))]
    turn.keep(Control("override", tank=it.row.tank, wait=it.row.kind, subject=it.row.subject, reason=reason))
    return _past_time(turn, it, reason) if it.row.data.get("held") == "time" else _past_answer(turn, it, reason)


def _past_time(turn: Turn, it: Running, reason: str) -> list[Part]:
    """Its shortest time is overridden: it may end now, with the checks that are left."""
    words = [*it.row.data.get("overridden", []), "cut short"]
    data = {**it.row.data, "overridden": words, "time_overridden": True, "reason": reason, "held": None}
    data["held_by"] = turn.who.name
    it = running.of(turn, store.alter_wait(turn.db, turn.message_id, it.id, data=data))
    owners = [p.name for p in turn.team.with_role("owner")]
    head = wording.overridden(it.shown, f"{turn.local(turn.said_at):%H:%M}", turn.who.name, ["cut short"])
    return [Part(head=head, lines=(wording.reason_kept(owners),)), *ending.out(turn, it)]


def _past_answer(turn: Turn, it: Running, reason: str) -> list[Part]:
    """An answer that holds it is overridden: the next question, if there is one."""
    query = rules.open_query(gates.gate_of(it), gates.answers_of(it))
    assert query
    refused = query.answer(gates.answers_of(it).get(query.key))
    words = [*it.row.data.get("overridden", []), refused.label.lower() if refused else query.key]
    answers = {**gates.answers_of(it), query.key: rules.OVERRIDDEN}
    return gates.ask_again(turn, gates.note(turn, it, answers, overridden=words, reason=reason, held=None))


def _overriders(turn: Turn, it: Running) -> tuple[str, ...]:
    """Who may go on past what holds it now."""
    held = it.row.data.get("held")
    if held == "time":
        return _time_overriders(turn, it)
    if not it.kind.gate:
        return ()
    answer = rules.held(gates.gate_of(it), gates.answers_of(it))
    return answer.override if answer else ()


def _time_overriders(turn: Turn, it: Running) -> tuple[str, ...]:
    """Before the shortest nobody, or everybody with a reason, as the kind has it; after it whoever may cut it."""
    if it.kind.cut and wait_rules.may_end(it.kind, it.row.started_at, turn.said_at):
        return it.kind.cut
    return rules.overriders("G9") if it.kind.early == "soft" else ()


def _is_theirs(turn: Turn, row: store.WaitRow) -> bool:
    return turn.who.name in (row.owner, row.data.get("held_by")) or turn.who.role == "owner"
