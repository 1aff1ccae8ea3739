"""Whatever comes in, the house stands: updates, texts, teams, tables, database files. Short here.

For long: FUZZ_EXAMPLES=100000 python -m pytest tests/test_fuzz.py. What was found once stands in KEPT, and stays.
"""

import asyncio
import json
import os
import sqlite3
from contextlib import suppress
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.assistant.desk import handle
from bot.assistant.importing import dry_run
from bot.doors.access import Access
from bot.doors.fetch import Fetcher
from bot.doors.intake import Intake
from bot.doors.signs import Signs
from bot.doors.work import Worker
from bot.messages import Edited, Incoming, Tick
from bot.store import waits
from bot.store.database import NewerFile, open_database, rows
from bot.store.record import Refused, bring_in
from bot.store.roster import load_team
from bot.store.seal import broken_seals, strayed_rows
from tests.doors.running import set_up

EXAMPLES = int(os.environ.get("FUZZ_EXAMPLES", "40"))
few = settings(
    max_examples=EXAMPLES, deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)  # fmt: skip
NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)
TEAM = {
    "name": "t",
    "people": [{"name": "ana", "role": "technician"}, {"name": "mara", "role": "owner"}],
    "tanks": [
        {"name": "Oak Street lobby", "kind": "reef", "volume": {"value": 400, "unit": "L"}, "nicknames": ["oak"]},
        {"name": "Pier cafe", "kind": "brackish"},
    ],
    "vats": [{"name": "Vat A", "volume": {"value": 60, "unit": "gal"}, "holds": "salt"}],
}

# What once broke something: texts for the desk, updates for the door.
_PRIVATE = {"message_id": 1, "date": 0, "chat": {"id": 11, "type": "private"}, "from": {"id": 11, "first_name": ""}}
KEPT = {
    "texts": [["9**9**9"], ["ph 1e400"], ["oak ph 8.2\0"], ["undo", "undo"], ["leaving", "put back", "undo"]],
    "updates": [
        {"message": _PRIVATE | {"migrate_to_chat_id": number}} for number in (False, True, 0, 5, -5, "x", None)
    ],
}

WORDS = """oak pier ph 8.2 sg 1.025 78F no3 12 alk 8,3 <0.25 undo put back done leaving here status bleach 10 L 200 mg/L
soak 15 min float bag drip wc 20% lost 1 fish quarantine 3 days order dose 5 mL not 18 was yesterday from 10:40 to Vat A
salt for 40 L override: because stop snooze hand over mara plan today history help 9**9**9 1e400 -5 ½ ° no smell strip
clear smells ana task tomorrow every 2 weeks report code 4471 new tank add kofi learner export remove copy billing"""
words = st.sampled_from(WORDS.split())
typed = st.lists(words, min_size=1, max_size=12).map(" ".join) | st.text(max_size=60)
junk = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**70), 2**70) | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_names := st.sampled_from(
        ["from", "chat", "message", "text", "data", "id", "date", "message_id", "photo", "document", "type", "file_id"]
    ) | st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip
people = st.fixed_dictionaries({"id": st.sampled_from([11, 12, 66]), "first_name": st.text(max_size=8)}) | junk
chats = st.sampled_from([{"id": 11, "type": "private"}, {"id": -5, "type": "group"}, {"id": 66, "type": "private"}])
messages = st.fixed_dictionaries(
    {
        "message_id": st.integers(1, 50) | junk, "date": st.integers(0, 2**33) | junk, "chat": chats | junk,
        "from": people,
    },
    optional={
        "text": typed | junk, "caption": junk, "reply_to_message": junk, "message_thread_id": junk, "photo": junk,
        "is_topic_message": st.booleans(), "document": junk, "voice": junk, "migrate_to_chat_id": junk,
    },
)  # fmt: skip
queries = st.fixed_dictionaries({"id": junk, "from": people, "message": messages | junk, "data": typed | junk})
updates = st.fixed_dictionaries(
    {},
    optional={
        "message": messages | junk,
        "edited_message": messages | junk,
        "callback_query": queries | junk,
        "poll": junk,
    },
)


class Door:
    """The door without a network: updates in, everything worked off."""

    def __init__(self, path, tmp_path):
        set_up(path, {"ana": 11, "mara": 12}, TEAM)
        self.db, self.told = open_database(path), []
        signs = Signs(NOW)
        access = Access(self.db, lambda number, text: self.told.append(text), lambda: 0.0)
        fetcher = Fetcher(tmp_path / "files", self._get, first_delay_s=0.0)
        self.worker = Worker(self.db, handle, access, fetcher, lambda: NOW, signs, lambda: None)
        self.intake = Intake(self.db, self._call, lambda: NOW, signs, lambda: None)

    async def _get(self, _):
        return b"content"

    async def _call(self, *_, **__):
        return True

    def take(self, found):
        async def act():
            self.intake.take(found)
            while rows(self.db, "select 1 from inbox where done_at is null limit 1"):
                await self.worker.work_off()
                await asyncio.sleep(0)

        asyncio.run(act())


@few
@given(st.lists(updates | junk, min_size=1, max_size=6))
def test_no_update_stops_the_door_or_brings_a_stranger_in(tmp_path_factory, found):
    taken_without_harm(tmp_path_factory, found)


@pytest.mark.parametrize("update", KEPT["updates"], ids=str)
def test_updates_that_once_brought_a_stranger_in_no_longer_do(tmp_path_factory, update):
    taken_without_harm(tmp_path_factory, [update])


def taken_without_harm(tmp_path_factory, found):
    folder = tmp_path_factory.mktemp("door")
    door = Door(folder / "t.db", folder)
    numbered = [u | {"update_id": n} if isinstance(u, dict) else u for n, u in enumerate(found)]
    door.take(numbered)
    strangers = rows(door.db, "select 1 from message where who not in ('ana', 'mara', 'set up')")
    assert not strangers
    assert (broken_seals(door.db), strayed_rows(door.db)) == ([], [])
    door.db.close()


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    """One database for all texts: the state that grows is part of the test."""
    path = tmp_path_factory.mktemp("desk") / "t.db"
    set_up(path, {}, TEAM)
    db = open_database(path)
    yield Desk(db)
    assert (broken_seals(db), strayed_rows(db)) == ([], [])


class Desk:
    def __init__(self, db):
        self.db, self.count, self.now = db, 0, NOW

    def say(self, text, who="ana"):
        self.count += 1
        self.now += timedelta(seconds=37)
        return handle(self.db, Incoming(self.now, who, who, text, f"11:{self.count}"))

    def converse(self, texts):
        for text in texts:
            assert self.say(text) is not None
        handle(self.db, Edited(self.now, "ana", "ana", texts[0] + " 8.1", f"11:{self.count}"))
        self.now += timedelta(minutes=20)
        handle(self.db, Tick(self.now))
        due = waits.next_due(self.db)
        assert due is None or due > self.now


@pytest.mark.parametrize("texts", KEPT["texts"], ids=str)
def test_texts_that_once_broke_the_desk_no_longer_do(desk, texts):
    desk.converse(texts)


@few
@given(st.lists(typed, min_size=1, max_size=5))
def test_no_text_breaks_the_desk(desk, texts):
    desk.converse(texts)


@few
@given(st.dictionaries(st.sampled_from(["team", "record", "people"]), junk) | st.just({"team": {"tanks": [{}]}}))
def test_a_team_file_of_any_form_is_taken_or_refused_in_words(data):
    db = open_database(":memory:")
    with suppress(Refused):
        bring_in(db, data, "ana", NOW)
        load_team(db)


cells = st.text(max_size=10) | st.sampled_from(
    ["date", "tank", "ph", "8.2", "03/04/2026", "<0.25", "oak", "=1+1", "n/d"]
)
tables = st.lists(st.lists(cells, max_size=5).map(",".join), max_size=6).map("\n".join) | st.text(max_size=200)


@few
@given(tables)
def test_any_table_gets_a_dry_run(desk, text):
    assert dry_run(desk.db, text, NOW).lines


@few
@given(data=st.data())
def test_a_database_of_any_bytes_is_opened_or_refused_as_such(tmp_path_factory, data):
    folder = tmp_path_factory.mktemp("file")
    set_up(folder / "t.db", {"ana": 11}, TEAM)
    content = bytearray((folder / "t.db").read_bytes())
    for _ in range(data.draw(st.integers(1, 5))):
        at = data.draw(st.integers(0, len(content) - 1))
        part = data.draw(st.binary(min_size=1, max_size=64))
        content[at : at + len(part)] = part
    (folder / "t.db").write_bytes(bytes(content[: data.draw(st.integers(0, len(content)))]))
    with suppress(sqlite3.Error, NewerFile, json.JSONDecodeError, UnicodeDecodeError):
        load_team(open_database(folder / "t.db"))
