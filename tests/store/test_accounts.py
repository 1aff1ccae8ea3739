"""Accounts and one-use codes: who gets in, once, and who is out at once."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.store import accounts
from bot.store.database import open_database, rows
from bot.store.record import bring_in
from bot.store.roster import load_team, retire
from bot.store.said import record_import
from bot.store.seal import broken_seals, unsealed

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)


@pytest.fixture
def db():
    db = open_database(":memory:")
    bring_in(db, {"team": {"name": "t", "people": [{"name": "Mara", "role": "owner"}]}}, "set up", NOW)
    return db


def enter(db, code, number="11", given="Ana", at=NOW):
    invite = accounts.live_invite(db, code, at)
    return invite and accounts.let_in(db, invite, number, given, at)


def test_a_code_lets_one_account_in_once(db):
    code = accounts.new_invite(db, None, "technician", None, NOW)
    assert enter(db, code) == "ana"
    assert accounts.person_of(db, "11") == "ana"
    assert accounts.number_of(db, "ana") == "11"
    assert enter(db, code, "12", "Eve") is None
    assert load_team(db).person("ana").role == "technician"


def test_a_code_is_no_longer_good_after_its_time(db):
    code = accounts.new_invite(db, None, "owner", "mara", NOW, hours=1)
    assert accounts.live_invite(db, code, NOW + timedelta(hours=1, seconds=1)) is None
    assert accounts.live_invite(db, code, NOW + timedelta(minutes=59)) is not None


def test_only_the_hash_of_a_code_is_kept_anywhere(db):
    code = accounts.new_invite(db, None, "owner", None, NOW)
    enter(db, code)
    dump = "\n".join(db.conn.iterdump())
    assert code not in dump and accounts._hash(code) in dump


def test_a_code_for_a_person_on_the_list_binds_to_that_person_capitals_aside(db):
    code = accounts.new_invite(db, None, "learner", "mara", NOW)
    assert enter(db, code, given="Somebody") == "Mara"
    assert load_team(db).person("mara").role == "owner"
    assert len(load_team(db).people) == 1


@pytest.mark.parametrize("given", ["mara", "MARA", "Mara Q."])
def test_nobody_takes_over_a_listed_person_by_bringing_the_same_name(db, given):
    code = accounts.new_invite(db, None, "technician", None, NOW)
    assert enter(db, code, given=given) == "mara2"
    assert accounts.number_of(db, "Mara") is None


@pytest.mark.parametrize("given", ["", "42", "-100123", "☃", "'; drop table account; --"])
def test_a_name_without_letters_becomes_a_harmless_one(db, given):
    code = accounts.new_invite(db, None, "technician", None, NOW)
    assert enter(db, code, given=given) in ("member", "drop")


def test_somebody_taken_off_the_list_is_out_at_once(db):
    enter(db, accounts.new_invite(db, None, "technician", "kofi", NOW))
    retire(db, record_import(db, "Mara", NOW, "remove kofi"), "person", "kofi")
    assert accounts.person_of(db, "11") is None
    assert accounts.number_of(db, "kofi") is None


def test_a_new_phone_replaces_the_old_one(db):
    enter(db, accounts.new_invite(db, None, "technician", "kofi", NOW))
    enter(db, accounts.new_invite(db, None, "technician", "kofi", NOW), number="77")
    assert (accounts.person_of(db, "11"), accounts.person_of(db, "77")) == (None, "kofi")
    assert accounts.number_of(db, "kofi") == "77"


def test_a_group_keeps_its_name_when_its_number_changes(db):
    assert (accounts.chat_of(db, "-5"), accounts.number_of(db, "-5")) == ("-5", "-5")
    accounts.moved(db, "-5", "-1005", NOW)
    accounts.moved(db, "-5", "-1005", NOW)
    assert (accounts.chat_of(db, "-1005"), accounts.number_of(db, "-5")) == ("-5", "-1005")


def test_a_chat_nobody_knows_has_no_number(db):
    assert accounts.number_of(db, "tomasz") is None


def test_what_happened_to_accounts_stands_in_the_journal(db):
    enter(db, accounts.new_invite(db, None, "technician", "kofi", NOW))
    tables = {row["tab"] for row in rows(db, "select tab from journal")}
    assert {"account", "invite", "roster"} <= tables


def test_coming_in_leaves_the_chain_of_seals_whole(db):
    enter(db, accounts.new_invite(db, None, "technician", "kofi", NOW))
    accounts.moved(db, "-5", "-1005", NOW)
    assert (broken_seals(db), unsealed(db)) == ([], [])
