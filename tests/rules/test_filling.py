"""When a container is full. Sums by hand: litres over litres an hour (a derivation, no source needed)."""

from datetime import UTC, datetime

import pytest

from bot.items import Quantity, Situation
from bot.rules import filling
from bot.team import Vat

HERE = Situation(now=datetime(2026, 3, 3, 17, 42, tzinfo=UTC))
VAT = Vat("Vat 2", Quantity(80, "gal"), "fresh", Quantity(100, "gal/day"))


@pytest.mark.parametrize(
    ("text", "vat", "minutes"),
    [
        ("filling 40 gal at 75 gal a day", None, 40 / 75 * 1440),
        ("filling the barrel, 75 gpd into 40 gal", None, 40 / 75 * 1440),
        ("ro running into the barrel, 150 L at 20 L/h", None, 450),
        ("hose running 2 gal/min into 30 gal", None, 15),
        ("filling vat 2", VAT, 80 / 100 * 1440),
    ],
)
def test_it_is_full_when_its_size_has_flowed_in(text, vat, minutes):
    assert filling.planned(text, HERE, vat).minutes == pytest.approx(minutes)


def test_somebody_is_told_before_it_is_full():
    plan = filling.planned("filling 40 gal at 75 gal a day", HERE)
    assert plan.ping_after == pytest.approx(768 - 10)
    assert filling.planned("hose running 2 gal/min into 24 gal", HERE).ping_after == pytest.approx(6)


@pytest.mark.parametrize(
    "text", ["how long to fill 40 gal at 75 gal a day", "filling the barrel", "40 gal at 75 gal a day"]
)
def test_a_question_or_half_the_figures_start_nothing(text):
    assert filling.planned(text, HERE) is None
