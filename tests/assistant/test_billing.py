"""The month's billing by chat: one message, a table whose rows lead to messages, nothing twice."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from bot.assistant.drawn import drawn
from bot.store.database import rows
from tests.assistant.crew import Day, at


def month_of_visits() -> Day:
    day = Day(start="2026-03-10T08:00")
    day.say("petra", "quillow 85.50 a visit")
    day.say("petra", "brindlemoor 60 per hour")
    for date in ("2026-03-10", "2026-03-24"):
        day.now = at(f"{date}T09:00")
        day.say("tomasz", "quillow temp 78 ph 8.2 sg 1.0255")
        day.now = at(f"{date}T09:40")
        day.say("tomasz", "quillow 20% wc")
        day.now = at(f"{date}T11:00")
        day.say("ines", "brindlemoor temp 78 ph 8.2 sg 1.0255")
        day.now = at(f"{date}T11:35")
        day.say("ines", "brindlemoor lamp replaced")
    day.now = at("2026-04-01T09:00")
    return day


def billed(day: Day, text: str = "billing march") -> tuple[str, list[dict[str, str]]]:
    said = day.say("petra", text)
    files = rows(day.db, "select files from outbox where files <> '[]' order by id desc limit 1")[0]["files"]
    content = drawn(day.db, files.strip('[]"'))
    assert content is not None
    return said, list(csv.DictReader(io.StringIO(content.decode())))


def test_the_months_table_comes_in_one_message_with_its_sum():
    said, _ = billed(month_of_visits())
    assert said.startswith("Billing March 2026: 2 clients")
    # two visits at 85.50, and two of 35 min: three quarters begun of an hour at 60
    assert f"{2 * Decimal('85.50') + 2 * Decimal('45.00')} in all" in said
    assert "Contract or extra? Brindlemoor Hotel: lamp 10 Mar" in said


def test_the_rows_add_up_to_the_sums_to_the_cent():
    _, table = billed(month_of_visits())
    for client in {r["client"] for r in table}:
        own = [r for r in table if r["client"] == client]
        (sum_row,) = [r for r in own if r["kind"] == "sum"]
        assert Decimal(sum_row["amount"]) == sum(
            Decimal(r["amount"]) for r in own if r["amount"] and r["kind"] != "sum"
        )


def test_each_row_leads_to_its_messages_and_their_words():
    day = month_of_visits()
    _, table = billed(day)
    for row in (r for r in table if r["kind"] != "sum"):
        for number in row["messages"].split():
            (said,) = rows(day.db, "select text from message where id = ?", [int(number)])
            assert said["text"] in row["words"]
        assert row["messages"]


def test_asked_again_it_is_the_same_and_what_is_told_later_comes_next_month():
    day = month_of_visits()
    _, first = billed(day)
    day.say("tomasz", "quillow 27 march 10:00 pump replaced")
    _, again = billed(day)
    assert again == first
    day.now = at("2026-05-02T09:00")
    said, april = billed(day, "billing april")
    assert {r["day"] for r in april if r["kind"] != "sum"} == {"2026-03-27"}
    assert "of earlier months" in said


def test_billing_is_for_the_office_and_the_owner():
    day = month_of_visits()
    assert "Billing is for office or owner" in day.say("ines", "billing march")
    assert day.say("mara", "billing march").startswith("Billing March 2026")


def test_a_month_without_work_is_said_to_be_empty():
    assert month_of_visits().say("petra", "billing february") == "Nothing to bill in February 2026."


def test_what_is_taken_back_after_its_billing_is_a_credit_that_leads_to_both_messages():
    day = month_of_visits()
    ref = day.last_ref
    billed(day)
    day.now = at("2026-04-07T09:00")
    day.say("tomasz", "quillow temp 78 ph 8.2 sg 1.0255")
    day.edit("ines", ref, "brindlemoor lamp fine")
    day.now = at("2026-05-01T09:00")
    said, table = billed(day, "billing april")
    credits = [r for r in table if r["kind"] == "credit"]
    assert "credit" in said and "lamp, taken back" in {r["what"] for r in credits}
    assert all("lamp replaced" in r["words"] and "lamp fine" in r["words"] for r in credits if "lamp" in r["what"])
    again, march = billed(day)
    assert "credit" not in again and any(r["what"] == "lamp" and r["day"] == "2026-03-24" for r in march)
