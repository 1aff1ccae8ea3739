"""Stock by use: what each entry takes, where it is taken from, when it runs out, what to order."""

from __future__ import annotations

import random
from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.items import Batch, Control, Event, Reading, Stock, Wait
from bot.rules import stock as rules
from bot.rules import supplies
from bot.rules.stock import SHOP, Entry

START = datetime(2026, 3, 2, 9, tzinfo=UTC)


def entry(item, day: float = 0.0, who: str = "ana") -> Entry:
    return Entry(START + timedelta(days=day), who, item)


def level(key: str, *entries: Entry, own=None) -> rules.Level:
    return rules.levels(entries, own or {})[key]


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("salt", "salt"),
        ("no3 kits", "nitrate kit"),
        ("alk kit", "alkalinity kit"),
        ("ammonia reagents", "ammonia kit"),
        ("strips", "strips"),
        ("dechlor", "dechlorinator"),
        ("thio", "neutraliser"),
        ("gloves", "glove"),
    ],
)
def test_words_lead_to_their_supply(words, key):
    assert supplies.key_of(words) == key


# What takes what; the amounts of bleach and neutraliser: 200 mg/L by 6 % bleach is 3.3 mL a litre, its neutraliser
# 7 mg for each mg, 1.4 g a litre (Piper et al. 1982, USFWS; stoichiometry of thiosulfate).
@pytest.mark.parametrize(
    ("item", "key", "amount"),
    [
        (Reading("nitrate", 12, "mg/L", "Elm"), "nitrate kit", 1),
        (Reading("chlorine", 0, "mg/L", "Elm"), "strips", 1),
        (Batch("salt", "Vat A", 150, "L", number=1, salt_g=5625), "salt", 5625),
        (Batch("strip_clear", "Vat A", number=1), "strips", 1),
        (Control("done", "Elm", ("no_smell", "strip_clear"), wait="rinse_soak"), "strips", 1),
        (Event("dose", "Elm", amount=20, unit="g", subject="bicarb"), "bicarbonate", 20),
        (Event("dose", "Elm", amount=2, unit="tsp", subject="baking soda"), "bicarbonate", 9.2),
        (Event("dose", "Elm", amount=5, unit="mL", subject="dechlor"), "dechlorinator", 5),
        (Event("filter_service", "Elm", subject="carbon"), "carbon", 1),
        (Event("filter_service", "Elm", amount=500, unit="g", subject="carbon"), "carbon", 2),
        (Wait("bleach_soak", "Elm", amount=10, unit="L", minutes=30), "bleach", 33),
        (Wait("rinse_soak", "Elm", amount=10, unit="L", minutes=15, step="neutralise"), "neutraliser", 14),
    ],
)
def test_what_is_done_takes_its_supply_without_anyone_typing_stock(item, key, amount):
    assert {u.key: u.amount for u in supplies.uses_of(item, {})} == {key: pytest.approx(amount, rel=0.01)}


@pytest.mark.parametrize(
    "item",
    [
        Event("filter_service", "Elm", subject="carbon", open=True),
        Event("filter_service", "Elm", subject="skimmer cup"),
        Event("dose", "Elm", subject="bicarb"),
        Event("feeding", "Elm", subject="flake"),
        Wait("rinse_soak", "Elm", minutes=15, step="rinse"),
    ],
)
def test_what_uses_nothing_up_takes_nothing(item):
    assert list(supplies.uses_of(item, {})) == []


def test_a_bare_number_counts_packs_or_single_ones_as_people_say_it():
    for item, amount in (
        (Stock("salt", "count", 3), 60_000),
        (Stock("salt", "count", 61, "kg"), 61_000),
        (Stock("strips", "count", 14), 14),
        (Stock("strips", "count", 2, pack="boxes"), 100),
        (Stock("no3 kits", "count", 2, pack="kit"), 100),
        (Stock("no3 kit", "count", 20, pack="tests"), 20),
        (Stock("carbon", "count", 3), 3),
    ):
        assert supplies.quantity(item, supplies.supply_of(item.subject, {})) == amount


def test_a_van_gives_what_was_taken_into_it_and_the_shop_the_rest():
    found = level(
        "nitrate kit",
        entry(Stock("no3 kits", "count", 2, pack="kit", place="shop")),
        entry(Stock("no3 kits", "took", 1, pack="kit"), 0.1),
        entry(Reading("nitrate", 12, "mg/L", "Elm"), 0.2),
        entry(Reading("nitrate", 15, "mg/L", "Fir"), 0.3, who="ben"),
    )
    assert found.places == {SHOP: 49, "ana": 49}


def test_a_count_shows_what_nobody_logged():
    found = level(
        "strips",
        entry(Stock("strips", "count", 20, place="van")),
        entry(Reading("chlorine", 0, "mg/L", "Elm"), 1),
        entry(Stock("strips", "count", 13, place="van"), 2),
    )
    assert [(d.place, d.counted, d.off) for d in found.drifts] == [("ana", 13, -6)]


def test_what_was_used_before_the_first_count_is_not_taken_off_it():
    found = level(
        "nitrate kit",
        entry(Reading("nitrate", 12, "mg/L", "Elm")),
        entry(Stock("no3 kits", "count", 1, pack="kit", place="shop"), 1),
    )
    assert found.total == 50


# Source: brief U2, worked: 61 kg at 95 kg a fortnight last nine days; delivery five days.
def test_salt_at_this_fortnights_use_runs_out_as_the_brief_has_it():
    found = level(
        "salt",
        entry(Stock("salt", "count", 156, "kg", place="shop")),
        entry(Stock("salt", "used", 95, "kg"), 7),
    )
    view = rules.outlook(found, START + timedelta(days=14))
    assert (found.total, round(view.days)) == (61_000, 9)
    assert view.out == date(2026, 3, 24)
    assert view.order_by == date(2026, 3, 19)


# Source: the trade's handbook 3.6: reorder at use until delivery and two weeks of reserve.
def test_the_reorder_line_is_use_until_delivery_and_reserve():
    def view(kg: float) -> rules.Outlook:
        found = level(
            "salt",
            entry(Stock("salt", "count", kg + 14, "kg", place="shop")),
            entry(Stock("salt", "used", 14, "kg"), 7),
        )
        return rules.outlook(found, START + timedelta(days=14))

    assert view(19.5).low is False
    assert view(18.5).low is True


def test_what_is_ordered_counts_until_it_arrives():
    entries = (
        entry(Stock("salt", "count", 30, "kg", place="shop")),
        entry(Stock("salt", "used", 20, "kg"), 7),
        entry(Stock("salt", "ordered", 4, pack="bags"), 8),
    )
    waiting = rules.outlook(level("salt", *entries), START + timedelta(days=9))
    assert (waiting.low, waiting.level.due, waiting.level.due_on) == (False, 80_000, date(2026, 3, 15))
    there = level("salt", *entries, entry(Stock("salt", "arrived", 4, pack="bags"), 12))
    assert (there.total, there.due) == (90_000, 0)


def test_planned_water_empties_the_salt_sooner_than_the_past_did():
    found = level(
        "salt", entry(Stock("salt", "count", 40, "kg", place="shop")), entry(Stock("salt", "used", 7, "kg"), 7)
    )
    past = rules.outlook(found, START + timedelta(days=14))
    planned = rules.outlook(found, START + timedelta(days=14), planned_a_day=3000)
    assert past.days > planned.days == pytest.approx(11)
    assert planned.low and not past.low and planned.planned


def test_what_a_team_sets_goes_before_the_usual_pack():
    own = {"salt": {"pack": 25_000.0, "price": 70.0, "lead_days": 2.0}}
    of = supplies.supply("salt", own)
    assert (of.pack, of.price, of.lead_days, of.assumed) == (25_000, 70, 2, False)
    assert supplies.supply("salt", {}).assumed


def test_after_any_hundred_movements_stock_equals_a_count_by_hand():
    chance = random.Random(3)
    entries = [entry(Stock("no3 kits", "count", 6, pack="kit", place="shop"))]
    hand = Counter({SHOP: 300})
    for day in range(1, 101):
        who = chance.choice(("ana", "ben"))
        act = chance.choice(("took", "test", "test", "test", "arrived", "used"))
        if act == "took":
            entries.append(entry(Stock("no3 kits", "took", 10, pack="tests"), day, who))
            hand[SHOP] -= 10
            hand[who] += 10
        elif act == "arrived":
            entries.append(entry(Stock("no3 kits", "arrived", 1, pack="kit"), day, who))
            hand[SHOP] += 50
        else:
            item = Stock("no3 kits", "used", 1, pack="tests") if act == "used" else Reading("nitrate", 9, "mg/L", "Elm")
            entries.append(entry(item, day, who))
            hand[who if who in hand else SHOP] -= 1
    assert level("nitrate kit", *entries).places == dict(hand)
