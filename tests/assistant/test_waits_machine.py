"""Waits and gates under any order of messages, presses, edits, undo, time and restarts, checked after every step.

No gated thing is ever done without its answers or a reason from somebody who may override; no wait is without an owner;
no ping is lost or doubled; nothing pings after it was closed. Common practice, no source: the properties are our own.
A longer run: WAITS_EXAMPLES=500 python -m pytest tests/assistant/test_waits_machine.py
"""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from bot.assistant.desk import handle
from bot.assistant.due import next_moment
from bot.assistant.subjects import SUBJECTS
from bot.messages import Edited, Incoming, Pressed, Tick
from bot.rules import gates, open_ends
from bot.rules import waits as wait_rules
from bot.store import outbox, waits
from bot.store.database import add, open_database, rows, writing
from bot.store.roster import load_team, set_up_team
from bot.wording import waits as wording
from tests.assistant.team import TEAM

PEOPLE = ("ana", "ben", "cleo", "dora", "joe")
STARTS = (
    "net in bleach 12 min at elm lobby", "buckets in bleach at elm lobby", "arch in bleach 3 min at elm lobby",
    "floating 2 clowns 20 min at elm lobby", "drip 30 min gobies at elm lobby", "return off 10 min at fir bar",
    "skimmer off at fir bar", "heater off at fir bar", "vat 1 mixing, rest 24h", "settling 40 min at fir bar",
    "buckets in thio 15 min at elm lobby", "timer 10 min", "check on me in 15 min", "quarantine 2 tangs at fir bar",
)  # fmt: skip
WORDS = (
    "out", "done", "ok", "no smell", "smells", "nothing", "any colour", "no strip", "matched", "off", "all 0",
    "flow seen", "no flow", "10 more min", "stop", "stop 1", "2", "status", "leaving", "undo", "put back", "take it",
    "i'm on it", "can't", "hand over to ben", "return pump back on at fir bar", "heater on at fir bar", "no drip",
    "override: cannot wait any longer", "override: no", "here elm lobby", "here fir bar", "pump in vinegar 20 min",
    "spare part comes at noon", "ana", "20",
)  # fmt: skip
OVERRIDERS = {"technician", "office", "owner"}


class WaitsMachine(RuleBasedStateMachine):
    """The desk of one team on a file, with everybody pressing and typing at once."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = str(Path(self.folder.name) / "team.db")
        self.now = datetime(2026, 3, 10, 13, 0, tzinfo=UTC)
        self.count = 0
        self.refs: list[tuple[str, str]] = []
        self.db = open_database(self.path)
        self.db.conn.execute("pragma synchronous = off")
        people = [*TEAM["people"], {"name": "joe", "role": "learner"}]
        with writing(self.db):
            cause = add(self.db, "message", kind="import", chat="", who="", at=self.now, stored_at=self.now, text="")
            set_up_team(self.db, cause, TEAM | {"people": people})

    def teardown(self) -> None:
        self.db.close()
        self.folder.cleanup()

    @rule(who=st.sampled_from(PEOPLE), text=st.sampled_from(STARTS))
    def start(self, who: str, text: str) -> None:
        self._say(who, text)

    @rule(who=st.sampled_from(PEOPLE), text=st.sampled_from(WORDS))
    def speak(self, who: str, text: str) -> None:
        self._say(who, text)

    @rule(who=st.sampled_from(PEOPLE), text=st.sampled_from(WORDS), back=st.integers(1, 6))
    def reply(self, who: str, text: str, back: int) -> None:
        own = [ref for name, ref in self.refs if name == who]
        if own:
            self._say(who, text, reply_to=own[-min(back, len(own))])

    @rule(who=st.sampled_from(PEOPLE), back=st.integers(0, 8), place=st.integers(0, 2), twice=st.booleans())
    def press(self, who: str, back: int, place: int, twice: bool) -> None:
        """Any button that was ever shown to this person, the newest ones more often."""
        shown = rows(self.db, "select * from outbox where chat = ? and buttons <> '[]' order by id desc", [who])
        if shown:
            buttons = outbox.buttons_of(shown[min(back, len(shown) - 1)])
            data = buttons[min(place, len(buttons) - 1)].data
            for _ in range(1 + twice):
                self._handle(Pressed(self.now, who, who, data))

    @rule(who=st.sampled_from(PEOPLE), text=st.sampled_from(STARTS + WORDS), back=st.integers(1, 5))
    def edit(self, who: str, text: str, back: int) -> None:
        own = [ref for name, ref in self.refs if name == who]
        if own:
            self._handle(Edited(self.now, who, who, text, own[-min(back, len(own))]))

    @rule(who=st.sampled_from(PEOPLE), text=st.sampled_from(STARTS), pick=st.integers(0, 5))
    def start_and_go_on(self, who: str, text: str, pick: int) -> None:
        """A wait is started, runs out, and somebody answers it as far as the presses lead."""
        self._say(who, text)
        self.time_passes(31)
        for _ in range(5):
            self.go_on(pick, pick % 3, who)

    @rule(pick=st.integers(0, 5), place=st.integers(0, 2), who=st.sampled_from(PEOPLE))
    def go_on(self, pick: int, place: int, who: str) -> None:
        """A button of some open wait is pressed by whoever it is shown to."""
        open_now = waits.open_waits(self.db)
        if open_now:
            wait = open_now[pick % len(open_now)]
            sql = "select * from outbox where chat in (?, ?) and buttons like ? order by id desc limit 1"
            shown = rows(self.db, sql, [wait.owner, who, f"%:{wait.id}%"])
            buttons = outbox.buttons_of(shown[0]) if shown else ()
            if buttons:
                presser = shown[0]["chat"]
                self._handle(Pressed(self.now, presser, presser, buttons[min(place, len(buttons) - 1)].data))

    @rule(minutes=st.sampled_from((0.05, 1, 2, 5, 11, 16, 31, 61, 700, 1500)))
    def time_passes(self, minutes: float) -> None:
        """Every moment that falls due is dealt with at its own time."""
        until = self.now + timedelta(minutes=minutes)
        while (moment := next_moment(self.db)) is not None and moment <= until:
            self.now = max(self.now, moment)
            self._handle(Tick(self.now))
            assert next_moment(self.db) != moment, "what fell due was not dealt with"
        self.now = until

    @rule(minutes=st.sampled_from((0, 3, 40)))
    def restart(self, minutes: float) -> None:
        """Down for a while; everything due meanwhile comes at once on the first tick."""
        self.db.close()
        since, self.now = self.now, self.now + timedelta(minutes=minutes)
        self.db = open_database(self.path)
        self.db.conn.execute("pragma synchronous = off")
        self._handle(Tick(self.now, down_since=since if minutes else None))
        late = [w for w in waits.due(self.db, self.now) if w.state == "running"]
        assert all((w.next_at or self.now) > self.now - timedelta(seconds=5) for w in late)

    @precondition(lambda self: self.refs)
    @rule(who=st.sampled_from(PEOPLE))
    def delivered_twice(self, who: str) -> None:
        """The same message once more changes nothing."""
        own = [ref for name, ref in self.refs if name == who]
        if own:
            before = self.db.conn.total_changes
            handle(self.db, Incoming(self.now, who, who, "out", own[-1]))
            assert self.db.conn.total_changes == before

    @invariant()
    def nothing_gated_is_done_without_its_answers(self) -> None:
        for row in self._rows():
            kind = self._kind(row)
            if row["state"] != "done" or not kind.gate or self._went_on(row):
                continue
            gate = gates.gate(kind.gate)
            answers = row["data"].get("answers", {})
            closed_by_word = row["data"].get("end") and not answers
            assert not closed_by_word or kind.gate is None, row
            assert gates.open_query(gate, answers) is None, (row["kind"], answers)
            overridden = [q for q, a in answers.items() if a == gates.OVERRIDDEN]
            assert not overridden or gates.enough_reason(row["data"].get("reason")), row

    @invariant()
    def every_override_has_a_reason_from_somebody_who_may(self) -> None:
        team = load_team(self.db)
        found = rows(self.db, "select who, item from fact where kind = 'control' and name = 'override'")
        for fact in found:
            person = team.person(fact["who"])
            assert person is not None and person.role in OVERRIDERS, fact
            assert gates.enough_reason(_json(fact["item"]).get("reason")), fact

    @invariant()
    def every_wait_has_an_owner_on_the_team(self) -> None:
        team = load_team(self.db)
        assert all(team.person(w.owner) for w in waits.open_waits(self.db))

    @invariant()
    def no_ping_is_doubled(self) -> None:
        """The same words with a sound never go twice to one person within a minute."""
        sql = "select chat, text, created_at from outbox where unasked = 1 and sound = 1 and text like '%OUT NOW%'"
        seen = Counter((r["chat"], r["text"], round(r["created_at"])) for r in rows(self.db, sql))
        assert all(times == 1 for times in seen.values()), seen.most_common(2)

    @invariant()
    def no_ping_is_lost(self) -> None:
        """Whatever is over has been put to somebody; whatever runs has its moment."""
        for wait in waits.open_waits(self.db):
            if wait.state == "running":
                assert wait.next_at is not None and wait.next_at >= wait.due_at, wait
            elif wait.state == "asked":
                assert self._was_told(wait), wait

    @invariant()
    def nothing_pings_after_it_was_closed(self) -> None:
        closed = [r for r in self._rows() if r["state"] in ("done", "stopped")]
        assert all(r["next_at"] is None for r in closed), closed

    def _say(self, who: str, text: str, **more: Any) -> None:
        self.count += 1
        ref = f"m{self.count}"
        self.refs.append((who, ref))
        self._handle(Incoming(self.now, who, who, text, ref, **more))

    def _handle(self, happening: Any) -> None:
        handle(self.db, happening)
        for row in outbox.unsent(self.db, 1000):
            outbox.crossed_off(self.db, row["id"], self.now, ref=f"b{row['id']}")

    def _rows(self) -> list[dict[str, Any]]:
        return [r | {"data": _json(r["data"])} for r in rows(self.db, "select * from wait order by id")]

    def _kind(self, row: dict[str, Any]) -> wait_rules.Kind:
        end = row["data"].get("end")
        return open_ends.kind(end) if end else wait_rules.kind_of(row["kind"], row["step"], row["subject"])

    def _went_on(self, row: dict[str, Any]) -> bool:
        """Whether the next step of its course took over: then the gate is that step's."""
        followers = [r for r in self._rows() if r["data"].get("after") == row["id"]]
        later = [r for r in self._rows() if r["id"] > row["id"] and r["kind"] == "drip" and row["kind"] == "float"]
        return bool(followers or later)

    def _was_told(self, wait: waits.WaitRow) -> bool:
        """Whether a message since its start shows a button of this wait, or says that it is over."""
        sql = "select buttons, text from outbox where created_at >= ?"
        row = {"data": wait.data, "kind": wait.kind, "step": wait.step, "subject": wait.subject}
        thing = wording.thing(self._kind(row), wait.subject)
        said = rows(self.db, sql, [wait.started_at.timestamp() - 1])
        pinged = [r for r in said if "OUT NOW" in r["text"] or "HOLD" in r["text"] or "Next" in r["text"]]
        return any(f":{wait.id}:" in r["buttons"] or thing in r["text"] for r in pinged)


def _json(text: str) -> dict[str, Any]:
    import json

    loaded: dict[str, Any] = json.loads(text)
    return loaded


def test_the_machine_knows_every_verb_of_a_wait() -> None:
    """The presses of waits are all there to be pressed."""
    assert {"w", "g", "l", "h", "hm", "lv", "u", "p", "q"} <= set(SUBJECTS.presses)


WaitsMachine.TestCase.settings = settings(
    max_examples=int(os.environ.get("WAITS_EXAMPLES", "12")),
    stateful_step_count=30,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate, *(() if "WAITS_EXAMPLES" in os.environ else (Phase.shrink,))),
)
TestWaits = WaitsMachine.TestCase
