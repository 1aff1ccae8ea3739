"""Water and supplies by chat: undo exact, whatever was said; numbers of batches; tables for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from datetime import timedelta
from typing import Any

import pytest

from bot.assistant.drawn import drawn
from bot.items import Batch, Event, Reading
from bot.store.database import rows
from bot.store.schema import STATE
from tests.assistant.team import TEAM, Chat

VATS = [
    {"name": "Vat A", "volume": {"value": 300, "unit": "L"}, "holds": "salt"},
    {"name": "Vat B", "volume": {"value": 300, "unit": "L"}, "holds": "fresh"},
]
OWN = TEAM | {"units": "metric", "vats": VATS, "salt_g_per_L_at_35": 37.5}


@pytest.fixture
def chat() -> Chat:
    """A team with a tested batch of 200 L, stock in the shop and in a van."""
    chat = Chat(OWN)
    chat.say("cleo", "shop count salt 60 kg, no3 kits 2, carbon 10")
    for text in ("van count no3 kit 20 tests, carbon 2", "mixed 200 L in vat a with ro to 35 ppt, rest 12h"):
        _later(chat)
        chat.say("ana", text)
    chat.wait(hours=13)
    chat.say("ana", "vat a 35 ppt, 25.2 c, ph 8.1, clear")
    _later(chat)
    chat.say("ana", "elm lobby 25.5 c, ph 8.1, sal 35")
    return chat


def _later(chat: Chat) -> None:
    chat.now += timedelta(minutes=2)


def state_of(chat: Chat) -> dict[str, Any]:
    """All that counts: facts in force and every row of the state tables but the conversation's own."""
    tables = [t for t in STATE if t not in ("conversation", "pending")]
    return {"facts": chat.in_force(), **{t: rows(chat.db, f"select * from {t} order by id") for t in tables}}


@pytest.mark.parametrize(
    "text",
    [
        "mixed 80 L in vat a with ro, rest 20h",
        "mixed 250 L in vat a with ro",
        "filled vat b with ro",
        "elm lobby 20% wc",
        "elm lobby 15% wc from vat a",
        "120 L left in vat a",
        "emptied vat a",
        "vat a 24.9 c",
        "vat a cloudy",
        "took 2 carbon",
        "2 bags of salt arrived lot 7",
        "van count carbon 1, no3 kit 15 tests",
        "used 3 carbon",
        "ordered 4 bags of salt",
        "salt costs 62 a bag of 20 kg",
        "elm lobby changed carbon, no3 9",
    ],
)
def test_undo_leaves_everything_exactly_as_before(chat: Chat, text: str) -> None:
    before = state_of(chat)
    _later(chat)
    chat.say("ana", text)
    assert state_of(chat) != before
    _later(chat)
    chat.say("ana", "undo")
    assert state_of(chat) == before


def test_put_back_brings_the_draw_and_the_level_back(chat: Chat) -> None:
    _later(chat)
    chat.say("ana", "elm lobby 20% wc")
    left = chat.say("ana", "vat a?")
    _later(chat)
    chat.say("ana", "undo")
    _later(chat)
    chat.say("ana", "put back")
    assert chat.say("ana", "vat a?") == left


def test_an_edited_batch_keeps_its_number_and_counts_its_salt_once(chat: Chat) -> None:
    chat.now += timedelta(hours=1)
    chat.say("ana", "mixed 40 L in vat a with ro, rest 20h")
    ref = chat.last_ref
    _later(chat)
    told = chat.edit("ana", ref, "mixed 50 L in vat a with ro, rest 20h")
    assert "batch 2: 50 L" in told
    made = [i for i in chat.in_force() if isinstance(i, Batch) and i.number == 2]
    assert [i.amount for i in made] == [50]
    assert "shop 50.6 kg" in chat.say("ana", "salt?")


def test_a_number_taken_back_is_not_given_again(chat: Chat) -> None:
    for text in ("mixed 40 L in vat a with ro", "undo", "mixed 45 L in vat a with ro"):
        _later(chat)
        told = chat.say("ana", text)
    assert "batch 3: 45 L" in told


def test_a_corrected_change_takes_the_right_amount_from_its_batch(chat: Chat) -> None:
    _later(chat)
    chat.say("ana", "elm lobby 60 L wc from vat a")
    _later(chat)
    chat.say("ana", "elm lobby wc was 50 L not 60 L")
    assert "150 L of 200 L left" in chat.say("ana", "vat a?")
    kept = [i for i in chat.in_force() if isinstance(i, Event) and i.event == "water_change"]
    assert [(i.amount, i.batch) for i in kept] == [(50, 1)]


def test_which_water_is_asked_after_the_change_is_stored_and_the_answer_counts(chat: Chat) -> None:
    _later(chat)
    told = chat.say("ana", "elm lobby 250 L wc")
    assert "water change 250 L" in told and "From which water? Vat A batch 1, 200 L left" in told
    assert "other water" in chat.press("ana", "Other water")
    kept = [i for i in chat.in_force() if isinstance(i, Event) and i.event == "water_change"]
    assert [(i.amount, i.batch, i.subject) for i in kept] == [(250, None, "other water")]


def test_a_tank_that_took_other_water_last_time_is_not_asked_again(chat: Chat) -> None:
    _later(chat)
    chat.say("ana", "elm lobby 250 L wc")
    chat.press("ana", "Other water")
    chat.now += timedelta(days=7)
    assert "From which water" not in chat.say("ana", "elm lobby 20% wc")


def test_the_order_list_comes_as_a_table_that_no_spreadsheet_runs(chat: Chat) -> None:
    _later(chat)
    chat.say("ana", "used 55 kg salt")
    _later(chat)
    chat.say("cleo", "salt costs 62 a bag of 20 kg")
    told = chat.say("cleo", "order list")
    # 7.5 kg mixed and 55 kg used within a week: 8.93 a day, for 5 + 14 + 28 days 419.6 kg, of which nothing is there
    assert told.startswith("Order: ") and "salt 21 x 20 kg" in told
    table = _table(chat)
    salt = next(row for row in table if row["supply"] == "salt")
    assert (salt["packs"], salt["amount"], salt["in stock"], salt["price"]) == ("21", "420000", "0", "1302")
    assert all(not cell.startswith(("=", "+", "@")) for row in table for cell in row.values())


def test_the_costs_of_a_month_come_as_a_table_whose_sum_is_the_answer(chat: Chat) -> None:
    _later(chat)
    chat.say("cleo", "salt costs 62 a bag of 20 kg")
    _later(chat)
    chat.say("ana", "elm lobby 20% wc from vat a")
    head = chat.say("dora", "costs march").splitlines()[0]
    assert head == f"Supplies Mar 2026: {sum(float(r['cost'] or 0) for r in _table(chat)):g}, 1 tank"


def _table(chat: Chat) -> list[dict[str, str]]:
    """The table that was sent last."""
    sent = rows(chat.db, "select files from outbox where files <> '[]' order by id desc limit 1")
    content = drawn(chat.db, json.loads(sent[0]["files"])[0])
    assert content is not None
    return list(csv.DictReader(io.StringIO(content.decode())))


def test_a_test_with_reagents_open_for_over_a_year_is_asked_about_before_it_counts(chat: Chat) -> None:
    _later(chat)
    chat.say("ana", "opened no3 kit lot 27")
    chat.now += timedelta(days=300)
    assert "lot 27" not in chat.say("ana", "elm lobby no3 9")
    chat.now += timedelta(days=80)
    assert "Kit lot 27 open since Mar 2026" in chat.say("ana", "elm lobby no3 10")
    unsure = [i for i in chat.in_force() if isinstance(i, Reading) and i.unconfirmed]
    assert [i.value for i in unsure] == [10]
