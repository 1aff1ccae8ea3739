"""Setting up by chat: exact undo, one-use codes, and door codes that stand nowhere but in their own table."""

from __future__ import annotations

import json
import stat
from pathlib import Path
from typing import Any

import pytest

from bot.assistant.desk import handle
from bot.messages import Edited, Incoming
from bot.rules.codes import MASK, masked
from bot.store import codes, outbox, removals
from bot.store.accounts import live_invite
from bot.store.database import open_database, rows, writing
from bot.store.record import exported
from bot.store.roster import load_team, set_up_team, team_json
from bot.store.said import record_import
from tests.assistant.team import START, TEAM, Chat

CLIENTS = {"clients": [{"name": "Elm House", "address": "1 Elm Row"}, {"name": "Fir Inn"}]}


def chat() -> Chat:
    elm, fir = TEAM["tanks"]
    return Chat(TEAM | CLIENTS | {"tanks": [elm | {"client": "Elm House"}, fir | {"client": "Fir Inn"}]})


SETTINGS = [
    "new tank gull bay, 90 gal + 20 sump, reef, tue every 2 weeks",
    "elm lobby is 95 gal",
    "limits elm lobby alk 7.5 to 9",
    "copy elm lobby to fir bar",
    "retire fir bar",
    "nickname big = fir bar",
    "elm lobby panel temp, ph, no3",
    "fir bar animals: 2 tangs, 1 moray",
    "elm lobby has no invertebrates",
    "fir bar hydrometer glass 60F",
    "new client gull house, bay 2, code 4471#",
    "new vat c, 100 gal, fresh",
    "add sam technician",
    "ben is office now",
    "remove ben",
    "backup for ana is ben",
    "on call ana",
    "quiet hours 20:00 to 6:00",
    "units metric",
    "emergency number 911",
    "vet order fir bar: copper 0.18 mg/L, 21 days, dr vasko",
]


@pytest.mark.parametrize("words", SETTINGS)
def test_undo_leaves_the_team_as_it_was_and_put_back_as_it_was_set(words: str) -> None:
    talk = chat()
    before = team_json(talk.db)
    assert "Nothing changed" not in talk.say("dora", words)
    after = team_json(talk.db)
    assert after != before
    talk.say("dora", "undo")
    assert team_json(talk.db) == before
    talk.say("dora", "put back")
    assert team_json(talk.db) == after


def _learners() -> Chat:
    return Chat(TEAM | {"people": [*TEAM["people"], {"name": "joss", "role": "learner"}]})


@pytest.mark.parametrize("words", [w for w in SETTINGS if w not in ("quiet hours 20:00 to 6:00", "units metric")])
def test_a_learner_sets_nothing_but_their_own_hours_and_units(words: str) -> None:
    talk = _learners()
    before = team_json(talk.db)
    assert "to change" in talk.say("joss", words)
    assert team_json(talk.db) == before


def test_an_order_is_filed_by_office_or_owner_only() -> None:
    talk = chat()
    words = "vet order fir bar: copper 0.18 mg/L, 21 days, dr vasko"
    assert "office or owner" in talk.say("ana", words)
    assert load_team(talk.db).tank("Fir bar").orders == ()  # type: ignore[union-attr]
    talk.say("cleo", words)
    (order,) = load_team(talk.db).tank("Fir bar").orders  # type: ignore[union-attr]
    assert (order["by"], order["name"], order["filed_by"], order["treatment"]) == (
        "veterinarian", "Dr. Vasko", "cleo", "copper",
    )  # fmt: skip
    assert (order["target"], order["days"], order["until"]) == ({"value": 0.18, "unit": "mg/L"}, 21.0, "2026-03-31")


def test_the_invitation_of_a_message_lets_in_whoever_brings_it_and_undo_closes_the_door() -> None:
    talk = chat()
    said = talk.say("dora", "add sam technician")
    code = said.split("/start ")[1].split()[0]
    invite = live_invite(talk.db, code, talk.now)
    assert invite is not None and (invite.person, invite.role) == ("sam", "technician")
    assert all(
        code not in json.dumps(row) for table in _tables(talk.db) for row in rows(talk.db, f"select * from {table}")
    )
    talk.say("dora", "undo")
    assert live_invite(talk.db, code, talk.now) is None


def _tables(db: Any) -> list[str]:
    return [r["name"] for r in rows(db, "select name from sqlite_master where type = 'table'")]


CODES = [
    ("new client gull house, bay 2, rena 555-0101, code 4471#, closed mon", "4471#"),
    ("code for elm house is 9981*", "9981*"),
    ("here elm lobby gate code is now A4512", "A4512"),
    ("door code fir inn 12-34-56", "12-34-56"),
    ("key safe 7788 elm house", "7788"),
    ("ph 8.2, alarm code: 246810", "246810"),
]


@pytest.mark.parametrize(("words", "code"), CODES)
def test_a_code_stands_in_no_message_fact_answer_export_or_log(tmp_path: Path, words: str, code: str) -> None:
    path = tmp_path / "team.db"
    db = open_database(path)
    with writing(db):
        set_up_team(db, record_import(db, "", START, "team"), chat_team())
    for message in (Incoming(START, "dora", "dora", words, "1"), Edited(START, "dora", "dora", f"{words} ok", "1")):
        handle(db, message)
    assert all(code not in line for line in exported(db))
    assert all(code not in json.dumps(row, default=str) for t in _tables(db) for row in rows(db, f"select * from {t}"))
    db.close()
    assert all(code.encode() not in file.read_bytes() for file in tmp_path.iterdir())


def chat_team() -> dict[str, Any]:
    elm, fir = TEAM["tanks"]
    return TEAM | CLIENTS | {"tanks": [elm | {"client": "Elm House"}, fir | {"client": "Fir Inn"}]}


def test_the_key_lies_beside_the_database_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    db = open_database(tmp_path / "team.db")
    with writing(db):
        cause = record_import(db, "", START, "team")
        codes.keep(db, cause, "Elm House", "4471#")
    key = tmp_path / "team.db.key"
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    number = codes.number_of(db, "Elm House")
    assert codes.filled_in(db, f"x {codes.shown('code', number or 0)} y") == "x 4471# y"
    key.write_bytes(b"B" * 43 + b"=")
    assert codes.UNREADABLE in codes.filled_in(db, codes.shown("code", number or 0))


def test_a_shown_code_and_the_message_that_brought_it_are_taken_out_of_the_chat_again() -> None:
    talk = chat()
    talk.say("dora", "code for elm house is 9981*")
    assert [(r["chat"], r["ref"]) for r in removals.due(talk.db, talk.now)] == [("dora", "m1")]
    talk.say("ana", "here elm lobby")
    assert "9981*" in talk.say("ana", "code")
    assert outbox.unsent(talk.db) == []
    talk.wait(minutes=10)
    assert [r["chat"] for r in removals.due(talk.db, talk.now)] == ["dora", "ana"]


@pytest.mark.parametrize(
    "words",
    ["heater shows error code 404", "lot code 4512", "code", "code quillow", "code ok ph 8.2 no3 120", "barcode 12345",
     "kh 8 pin 12", "zip code 90210", "code 5 min", f"code {MASK}"],
)  # fmt: skip
def test_words_that_are_no_door_code_are_left_alone(words: str) -> None:
    assert masked(words).codes == () and masked(words).text == words
