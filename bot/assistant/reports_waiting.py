"""The office's list of reports: one at a time, with [Send] [Edit] [Not yet]; nothing goes out before a press."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta

from sqlite_utils import Database

from bot.assistant import asking, people
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item
from bot.messages import Button, Outgoing
from bot.rules.report import changed
from bot.store import reminders, reports
from bot.store.pending import Pending
from bot.store.reminders import Reminder
from bot.store.reports import Version
from bot.store.roster import amend
from bot.team import Team
from bot.wording import report as wording
from bot.wording import report_office as office_words

MAY_SEND = ("office", "owner")
BACK = timedelta(days=90)


def take(turn: Turn, item: Item) -> list[Part]:
    """ "report": of the tank named or in hand, else one's last; for the office the list of those that wait."""
    assert isinstance(item, Control)
    tank = item.tank or tank_in_hand(turn)
    if turn.who.role in MAY_SEND and not item.tank:
        return _first(turn, waiting(turn))
    found = [v for v in reports.current(turn.db, turn.now - BACK) if tank in (None, *v.report.tanks)]
    mine = [v for v in found if tank or turn.who.name in v.report.who]
    if not mine:
        return [Part(head=office_words.none_yet(tank))]
    return [_shown(turn, mine[-1])]


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Send] [Edit] [Not yet] [Next report]."""
    if args[0] == "next":
        return _first(turn, [v for v in waiting(turn) if v.id > int(args[1])] or waiting(turn))
    pressed = reports.version(turn.db, int(args[0]))
    latest = reports.latest_of(turn.db, pressed.root) if pressed else None
    if turn.who.role not in MAY_SEND or latest is None:
        return [Part(head=office_words.may_not(MAY_SEND))] if latest else []
    if pressed is None or latest.id != pressed.id:
        return [Part(lines=(office_words.NEWER,)), _shown(turn, latest)]
    return _PRESSES[args[1]](turn, latest)


def edited(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The lines as the office wants them: "please: one pinch of food a day"; None for words that name no line."""
    told = office_words.lines_in(text)
    version = reports.version(turn.db, int(str(question.data["version"])))
    latest = reports.latest_of(turn.db, version.root) if version else None
    if not told or latest is None:
        return None
    always = told.pop("always please", None)
    if always is not None:
        amend(turn.db, turn.message_id, "client", latest.report.client, please=always)
        told["please"] = always
    new = reports.keep(turn.db, turn.message_id, turn.now, latest.report, {**latest.own, **told}, latest)
    return [_shown(turn, new, stored=True), *asking.settled(turn, question)]


def announce(turn: Turn, version: Version, always: bool = False) -> list[Part]:
    """Tells the office of a new report, silently: the first of the day at once, the rest at the end of the day, so that
    a day of many visits is not a day of many messages. `always`: a correction of what has gone out.
    """
    told = [p for p in people.office(turn) if p.name != turn.who.name]
    if not always and reminders.set_ones(turn.db, "reports"):
        return []
    if not always:
        reminders.set_reminder(turn.db, turn.message_id, "reports", _digest_at(turn))
    shown = _shown(turn, version, may_send=True)
    text = str(shown.head)
    return [Part(others=tuple(Outgoing(p.name, text, shown.buttons, unasked=True) for p in told))]


def due(turn: Turn, reminder: Reminder) -> list[Part]:
    """The end of the office's day: what still waits, in one silent message; nothing where nothing does."""
    reminders.alter_reminder(turn.db, turn.message_id, reminder.id, state="done")
    left = waiting(turn)
    if not left:
        return []
    text = office_words.still_waiting([wording.brief(v.report) for v in left])
    button = Button("Show", "r:next:0")
    told = tuple(Outgoing(p.name, text, (button,), unasked=True) for p in people.office(turn))
    return [Part(others=told)]


def waiting(turn: Turn) -> list[Version]:
    """What has not gone out in its present version, in the order of the visits."""
    out = reports.sent(turn.db)
    return [v for v in reports.current(turn.db, turn.now - BACK) if v.id not in out]


def lines_of(db: Database, team: Team, version: Version) -> wording.Lines:
    """The report in words; a corrected one says what changed since the one that went out."""
    before = reports.last_sent(db, version.root, version.id)
    was = _corrected(before, version) if before else None
    return wording.lines(version.report, str(team.data.get("phone", "")), version.own, was)


def _corrected(before: Version, now: Version) -> wording.Corrected:
    own = [line for line in {**before.own, **now.own} if before.own.get(line) != now.own.get(line)]
    return wording.Corrected(before.report.start.date(), changed(before.report, now.report), tuple(own))


def _first(turn: Turn, left: Sequence[Version]) -> list[Part]:
    if not left:
        return [Part(head=office_words.NONE_WAITS)]
    return [_shown(turn, left[0], place=f"1 of {len(left)}: " if len(left) > 1 else "")]


def _shown(
    turn: Turn, version: Version, place: str = "", may_send: bool = False, stored: bool = False
) -> Part:  # fmt: skip
    """The text; whoever may send it gets the buttons, while it has not gone out."""
    text = place + lines_of(turn.db, turn.team, version).text
    gone = reports.sent(turn.db).get(version.id)
    if gone:
        when = turn.local(gone.at)
        return Part(head=text, lines=(office_words.went_out(when, gone.who),))
    acts = (("Send", "send"), ("Edit", "edit"), ("Not yet", "later")) if may_send or turn.who.role in MAY_SEND else ()
    return Part(head=text, buttons=tuple(Button(label, f"r:{version.id}:{act}") for label, act in acts), stored=stored)


def _send(turn: Turn, version: Version) -> list[Part]:
    """Gone out, on record; the page comes as a file for the office's mail."""
    if version.id in reports.sent(turn.db):
        return []
    turn.keep(Control("report", tank=version.report.tanks[0], number=version.id, answers=("sent",)))
    client = next((c for c in turn.team.clients if c.name == version.report.client), None)
    from bot.assistant import report_page

    head = office_words.sent(version.report, f"{turn.local(turn.said_at):%H:%M}", turn.who.name)
    lines = (office_words.to_mail(client.contact if client else None),)
    files = (report_page.file_of(turn, version),)
    return [Part(head=head, lines=lines, stored=True, files=files, buttons=_next_button(turn, version))]


def _edit(turn: Turn, version: Version) -> list[Part]:
    return [Part(ask=Ask(office_words.HOW_TO_EDIT, (), "report", "report", None, {"version": version.id}))]


def _later(turn: Turn, version: Version) -> list[Part]:
    head = office_words.waits_on(version.report)
    return [Part(head=head, buttons=_next_button(turn, version))]


_PRESSES = {"send": _send, "edit": _edit, "later": _later}


def _next_button(turn: Turn, version: Version) -> tuple[Button, ...]:
    others = [v for v in waiting(turn) if v.id != version.id]
    return (Button("Next report", f"r:next:{version.id}"),) if others else ()


def _digest_at(turn: Turn) -> datetime:
    """The end of the office's day, today or, after it, on the next."""
    at = time.fromisoformat(table("report")["digest"]["at"])
    today = turn.local(turn.now)
    moment = datetime.combine(today.date(), at, turn.zone)
    return moment if moment > turn.now else moment + timedelta(days=1)
