"""Who may talk to the bot: people of the list, and whoever brings a code. Everybody else gets one line and no data."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from sqlite_utils import Database

from bot.doors.pace import Window, Windows
from bot.doors.translate import Arrival, start_payload
from bot.messages import Button, Outgoing
from bot.rules import labels
from bot.store import accounts, outbox
from bot.store.roster import load_team
from bot.wording import service, tell_us
from bot.wording.strangers import NEUTRAL

GUESSES, GUESSES_OF_ALL, HOUR_S, DAY_S = 5, 60, 3600.0, 86_400.0


# Under the first message to somebody who learns.
WELCOME = (Button("Practice", "ln:practice"), Button("My first stop", "ln:first"))


class Access:
    """Decides by the account's number. `tell` sends a line past the outbox, so that nothing of a stranger is stored."""

    def __init__(self, db: Database, tell: Callable[[str, str], None], clock: Callable[[], float]) -> None:
        self._db, self._tell, self._clock = db, tell, clock
        self._guesses = Windows(lambda _: Window(GUESSES, HOUR_S))
        self._all_guesses = Window(GUESSES_OF_ALL, HOUR_S)
        self._lines = Windows(lambda _: Window(1, DAY_S))
        self._all_lines = Windows(lambda _: Window(20, 60.0))

    def person(self, arrived: Arrival) -> str | None:
        """The person of the list who wrote or pressed this."""
        return accounts.person_of(self._db, arrived.user)

    def stranger(self, arrived: Arrival, at: datetime) -> None:
        """Somebody who is not on the list: a code is tried, anything else is answered by one neutral line a day."""
        if not arrived.private or arrived.kind != "message":
            return
        code = start_payload(arrived.text)
        if code:
            self._try(code, arrived, at)
        else:
            self._say(arrived.chat, NEUTRAL)

    def code_of_member(self, arrived: Arrival, person: str, at: datetime) -> bool:
        """Whether a member sent a code that is good for somebody else; it is not used, and must not be stored."""
        code = start_payload(arrived.text)
        if code is None or accounts.live_invite(self._db, code, at) is None:
            return False
        outbox.post(self._db, Outgoing(person, service.ALREADY_IN), at)
        return True

    def _try(self, code: str, arrived: Arrival, at: datetime) -> None:
        clock = self._clock()
        if self._all_guesses.wait(clock) > 0 or not self._guesses.allows(arrived.user, clock):
            self._say(f"guess {arrived.chat}", service.TOO_MANY_CODES, arrived.chat)
            return
        invite = accounts.live_invite(self._db, code, at)
        if invite is None and self._is_desk(code, arrived, at):
            return
        if invite is None:
            self._all_guesses.take(clock)
            self._tell(arrived.chat, service.BAD_CODE)
            return
        person = accounts.let_in(self._db, invite, arrived.user, arrived.given_name, at)
        buttons = WELCOME if invite.role == "learner" else ()
        outbox.post(self._db, Outgoing(person, service.welcome(person, invite.role), buttons), at)

    def _is_desk(self, code: str, arrived: Arrival, at: datetime) -> bool:
        """Whether the code is on the label of a client's front desk: whoever scans it may tell the office something."""
        team = load_team(self._db)
        found = labels.meaning(team, code)
        if found is None or found.kind != "desk":
            return False
        person = accounts.let_desk_in(self._db, found.name, arrived.user, at)
        outbox.post(self._db, Outgoing(person, tell_us.page(found.name, str(team.data.get("phone", "")))), at)
        return True

    def _say(self, key: str, text: str, chat: str | None = None) -> None:
        clock = self._clock()
        if self._lines.allows(key, clock) and self._all_lines.allows("all", clock):
            self._tell(chat or key, text)
