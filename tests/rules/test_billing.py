"""A month's billing: each fact once, sums to the cent, extras flagged."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from random import Random

import pytest

from bot.items import Event, Reading
from bot.rules.billing import Billable, Terms, bucket, rows_of, total

READING = Reading("ph", 8.2, "pH", "Elm")


def fact(
    number: int, day: str, item=READING, who: str = "ana", client: str = "Elm House", tank: str = "Elm"
) -> Billable:
    return Billable(number, 100 + number, client, tank, who, datetime.fromisoformat(f"{day}+00:00"), item)


def test_a_visit_is_one_row_with_its_minutes_people_tanks_and_messages():
    facts = [
        fact(1, "2026-03-03T09:00"),
        fact(2, "2026-03-03T09:45", tank="Elm 2"),
        fact(3, "2026-03-03T09:10", who="ben"),
        fact(4, "2026-03-03T09:30", who="ben"),
    ]
    (row,) = rows_of((2026, 3), facts, {}, {})
    assert (row.kind, row.minutes, row.who, row.tanks) == ("visit", 65, ("ana", "ben"), ("Elm", "Elm 2"))
    assert row.messages == (101, 102, 103, 104) and row.amount is None


def test_prices_by_visit_hour_and_month():
    facts = [fact(1, "2026-03-03T09:00"), fact(2, "2026-03-03T09:50")]
    assert total(rows_of((2026, 3), facts, {"Elm House": Terms({"visit": 85})}, {})) == Decimal("85.00")
    # 50 min are four quarters begun: a whole hour
    assert total(rows_of((2026, 3), facts, {"Elm House": Terms({"hour": 66.6})}, {})) == Decimal("66.60")
    monthly = rows_of((2026, 3), facts, {"Elm House": Terms({"month": 199.99})}, {})
    assert [r.kind for r in monthly] == ["contract", "visit"] and total(monthly) == Decimal("199.99")


def test_sums_are_to_the_cent():
    facts = [fact(i, f"2026-03-{i:02}T09:00") for i in range(1, 31)]
    assert total(rows_of((2026, 3), facts, {"Elm House": Terms({"visit": 0.1})}, {})) == Decimal("3.00")


def test_what_is_seldom_in_a_contract_is_flagged():
    facts = [
        fact(1, "2026-03-03T09:00", Event("water_change", "Elm", amount=20, unit="%")),
        fact(2, "2026-03-03T09:05", Event("equipment", "Elm", subject="lamp", state="replaced")),
        fact(3, "2026-03-03T09:06", Event("livestock_added", "Elm", subject="clown", count=2)),
        fact(4, "2026-03-05T09:00"),
    ]
    rows = rows_of((2026, 3), facts, {"Elm House": Terms({"visit": 50, "call_out": 90}, 14)}, {})
    flagged = {(r.kind, r.what) for r in rows if "extra" in r.flag}
    assert flagged == {("part", "lamp"), ("animals", "clown"), ("visit", "call-out")}
    assert total(rows) == Decimal("140.00")


def test_told_after_the_month_was_billed_it_comes_with_the_next():
    facts = [fact(1, "2026-03-03T09:00"), fact(9, "2026-03-20T09:00"), fact(12, "2026-04-02T09:00")]
    billed = {(2026, 3): 5}
    march, april = (rows_of((2026, m), facts, {}, billed) for m in (3, 4))
    assert [str(r.day) for r in march] == ["2026-03-03"]
    assert [(str(r.day), r.flag) for r in april] == [("2026-03-20", "of an earlier month"), ("2026-04-02", "")]


def test_a_late_word_about_a_billed_visit_makes_no_second_visit():
    facts = [
        fact(1, "2026-03-03T09:00"),
        fact(9, "2026-03-03T09:30", Event("equipment", "Elm", subject="pump", state="replaced")),
    ]
    rows = rows_of((2026, 4), facts, {"Elm House": Terms({"visit": 50})}, {(2026, 3): 5})
    assert [(r.kind, r.what) for r in rows] == [("part", "pump")]


@pytest.mark.parametrize("seed", range(20))
def test_over_a_year_every_visit_and_every_part_is_billed_exactly_once(seed):
    """Facts told up to two months late, each month billed once or several times."""
    random = Random(seed)
    start = datetime(2026, 1, 1, 9, tzinfo=UTC)
    told = []
    for _ in range(120):
        at = start + timedelta(days=random.randrange(330), minutes=random.randrange(60))
        part = random.random() < 0.3
        item = Event("equipment", "Elm", subject="lamp", state="fitted") if part else READING
        told.append((at + timedelta(days=random.choice([0, 0, 0, 5, 40])), at, item))
    billings = [start + timedelta(days=31 * m + random.randrange(5)) for m in range(1, 13)]
    events = sorted([*((when, "told", (at, item)) for when, at, item in told), *((b, "bill", None) for b in billings)],
                    key=lambda e: e[0])  # fmt: skip
    facts, billed, visits, parts = [], {}, [], []
    for number, (when, what, data) in enumerate(events, start=1):
        if what == "told":
            facts.append(Billable(number, number, "Elm House", "Elm", "ana", *data))
            continue
        month = (when - timedelta(days=when.day)).year, (when - timedelta(days=when.day)).month
        again = month in billed
        rows = rows_of(month, facts, {}, billed)
        billed.setdefault(month, number)
        assert rows == rows_of(month, facts, {}, billed)
        if not again:
            visits += [r.day for r in rows if r.kind == "visit"]
            parts += [m for r in rows if r.kind == "part" for m in r.messages]
    done = [f for f in facts if bucket(f, billed) in billed]
    assert sorted(visits) == sorted(set(visits)) and set(visits) == {f.at.date() for f in done}
    assert sorted(parts) == sorted(f.message_id for f in done if f.item.kind == "event")


def test_a_part_taken_back_after_its_month_was_billed_is_credited_with_the_next():
    lamp = Event("equipment", "Elm", subject="lamp", count=2, state="replaced")
    facts = [fact(1, "2026-03-03T09:00"), Billable(2, 102, "Elm House", "Elm", "ana", at("2026-03-03"), lamp, 7, 207)]
    billed = {(2026, 3): 5}
    march, april = (rows_of((2026, m), facts, {}, billed) for m in (3, 4))
    assert [r.what for r in march] == ["visit", "lamp"]  # as it was billed
    (credit,) = april
    assert (credit.kind, credit.what, credit.quantity, credit.flag) == (
        "credit", "lamp, taken back", -2, "credit for 2026-03"
    )  # fmt: skip
    assert credit.messages == (102, 207)
    assert rows_of((2026, 5), facts, {}, {**billed, (2026, 4): 9}) == []


def test_taken_back_before_the_billing_it_is_neither_billed_nor_credited():
    facts = [Billable(2, 102, "Elm House", "Elm", "ana", at("2026-03-03"), READING, 4, 204)]
    assert [rows_of((2026, m), facts, {}, {(2026, 3): 5}) for m in (3, 4)] == [[], []]


def test_a_visit_that_was_none_is_credited_whole_and_a_shorter_one_by_the_difference():
    terms = {"Elm House": Terms({"hour": 60})}
    here, gone = (
        fact(1, "2026-03-03T09:00"),
        Billable(2, 102, "Elm House", "Elm", "ana", at("2026-03-03"), READING, 8, 9),
    )
    shorter = rows_of((2026, 4), [here, gone], terms, {(2026, 3): 5})  # 20 min were two quarters, now it is one
    assert [(r.what, r.minutes, r.amount) for r in shorter] == [("visit, shorter", -20, Decimal("-15.00"))]
    whole = rows_of((2026, 4), [gone], terms, {(2026, 3): 5})
    assert [(r.what, r.amount) for r in whole] == [("visit, taken back", Decimal("-15.00"))]


def test_a_correction_at_the_same_time_makes_no_visit_shorter():
    terms = {"Elm House": Terms({"hour": 60})}
    old = Billable(2, 102, "Elm House", "Elm", "ana", at("2026-03-03"), READING, 8, 9)
    facts = [fact(1, "2026-03-03T09:00"), old, replace(old, id=8, message_id=9, voided=None, voided_in=None)]
    assert rows_of((2026, 4), facts, terms, {(2026, 3): 5}) == []


@pytest.mark.parametrize("seed", range(20))
def test_over_a_year_bills_and_credits_come_to_what_is_in_force(seed):
    """Visits told late and taken back at any time; every month billed once."""
    random = Random(seed)
    start, terms = datetime(2026, 1, 1, 9, tzinfo=UTC), {"Elm House": Terms({"visit": 10})}
    told = [start + timedelta(days=random.randrange(330), minutes=i) for i in range(80)]
    events = [(when + timedelta(days=random.choice([0, 0, 5, 40])), "told", i) for i, when in enumerate(told)]
    taken_back = [i for i, (when, _, _) in enumerate(events) if when <= told[i] and random.random() < 0.3]
    events += [(told[i] + timedelta(days=random.choice([1, 30, 70])), "back", i) for i in taken_back]
    events += [(start + timedelta(days=31 * m), "bill", m) for m in range(1, 16)]
    facts, billed, sum_of_all = {}, {}, Decimal(0)
    for number, (when, what, i) in enumerate(sorted(events), start=1):
        if what == "told":
            facts[i] = Billable(number, number, "Elm House", "Elm", "ana", told[i], READING)
        elif what == "back":
            facts[i] = replace(facts[i], voided=number, voided_in=number)
        else:
            month = (when - timedelta(days=when.day)).year, (when - timedelta(days=when.day)).month
            sum_of_all += total(rows_of(month, list(facts.values()), terms, billed)) or 0
            billed.setdefault(month, number)
    assert sum_of_all == 10 * len({f.at.date() for f in facts.values() if f.voided is None})


def at(day: str) -> datetime:
    """Twenty past nine on a day."""
    return datetime.fromisoformat(f"{day}T09:20:00+00:00")
