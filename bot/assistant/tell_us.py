"""R3: a client's front desk tells us something: the office gets it with the tank's card, and the answer goes back.

A desk is on the list with the role `client` and its client's name (team.Team.desks). It is no member of the team: it
sees its own client's last report and the office's answers, and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from bot.assistant import arriving, asking, people, reports_waiting
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Setting
from bot.messages import Button, Outgoing
from bot.rules.words import says
from bot.store import logbook, reports
from bot.store.pending import Pending
from bot.store.roster import retire
from bot.team import Client, Tank
from bot.wording import tell_us as wording

BACK = timedelta(days=366)


def take(turn: Turn) -> list[Part]:
    """Whatever a desk sends: its report, a person hurt, or something for the office."""
    client = next((c for c in turn.team.clients if c.name == turn.who.data.get("client")), None)
    if client is None:
        return []
    phone = str(turn.team.data.get("phone", ""))
    if not turn.text.strip() and not turn.photo:
        return [Part(head=wording.page(client.name, phone))]
    hurt = [i for i in turn.understood.items if isinstance(i, Control) and i.action == "person_hurt"]
    if hurt:
        tank = next((t.name for t in _tanks(turn, client)), None)
        return turn.subjects.handlers["control.person_hurt"](turn, replace(hurt[0], tank=tank))
    if turn.text.strip().casefold() in ("report", "last report"):
        return [Part(head=_report(turn, client))]
    return _passed_on(turn, client, phone)


def answer_in_reply(turn: Turn) -> list[Part] | None:
    """The office's reply to what a desk wrote; None for a message that replies to none."""
    found = [f for f in logbook.facts_of(turn.db, [turn.replied]) if not f.void] if turn.replied else []
    asked = next((f for f in found if isinstance(f.item, Control) and f.item.action == "tell_us"), None)
    return (
        _answer(turn, asked.id, turn.text.strip())
        if asked and turn.text.strip() and asked.who != turn.who.name
        else None
    )


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Answer]: the next message is the answer; [End access]: that desk is off the list."""
    if args[0] == "off":
        return _off(turn, int(args[1]))
    return [Part(ask=Ask("The answer to the front desk?", (), "tell_us", "tell_us", None, {"fact": int(args[0])}))]


def answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The answer, after [Answer]."""
    if not text.strip():
        return None
    return [*_answer(turn, int(question.data["fact"]), text.strip()), *asking.settled(turn, question)]


def _tanks(turn: Turn, client: Client) -> list[Tank]:
    return [t for t in turn.team.tanks if t.client == client.name]


def _passed_on(turn: Turn, client: Client, phone: str) -> list[Part]:
    """To the office with the tank's card; what cannot wait rings there and at the owner's too."""
    text, tanks = turn.text.strip(), _tanks(turn, client)
    fact_id = turn.keep(
        Control("tell_us", tanks[0].name if len(tanks) == 1 else None, subject=client.name, reason=text)
    )
    urgent = says(text, str(table("report")["call"]["words"]))
    readers = [*people.office(turn), *(turn.team.with_role("owner") if urgent else ())]
    words = wording.for_office(client.name, text, arriving.card(turn, tanks[0]) if len(tanks) == 1 else None)
    buttons = (Button("Answer", f"tu:{fact_id}"), Button("End access", f"tu:off:{fact_id}"))
    files = (turn.photo,) if turn.photo else ()
    told = tuple(
        Outgoing(name, words, buttons, files, unasked=True, sound=urgent or not people.is_off(turn, name))
        for name in dict.fromkeys(p.name for p in readers)
    )
    return [Part(head=wording.passed_on(phone, urgent), others=told, urgent=urgent)]


def _report(turn: Turn, client: Client) -> str:
    """The last report that went out to them."""
    tanks = [t.name for t in _tanks(turn, client)]
    for version in reversed(reports.current(turn.db, turn.now - BACK, tanks) if tanks else []):
        out = reports.last_sent(turn.db, version.root, version.id + 1)
        if out:
            return reports_waiting.lines_of(turn.db, turn.team, out).text
    return wording.NO_REPORT


def _answer(turn: Turn, fact_id: int, text: str) -> list[Part]:
    asked = logbook.fact(turn.db, fact_id)
    if asked is None or asked.void or not isinstance(asked.item, Control) or asked.item.action != "tell_us":
        return []
    client = asked.item.subject or ""
    turn.keep(Control("told_us", asked.item.tank, number=fact_id, subject=client, reason=text))
    return [Part(head=wording.answered(client), others=(Outgoing(asked.who, text, unasked=True, sound=True),))]


def _off(turn: Turn, fact_id: int) -> list[Part]:
    """Somebody at a desk who should write no more: office or owner takes the account off the list."""
    asked = logbook.fact(turn.db, fact_id)
    if asked is None or turn.who.role not in ("office", "owner") or turn.team.desk(asked.who) is None:
        return []
    retire(turn.db, turn.message_id, "person", asked.who)
    turn.keep(Setting("person", None, {"name": asked.who, "removed": True}))
    return [Part(said=(wording.access_ended(asked.who),), stored=True)]
