"""Judging a reading: what is said, what is not, and which comes first."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.items import Event, Quantity, Reading
from bot.rules.judged import RANKS, Record
from bot.rules.readings import judge
from bot.rules.usual import Done, Seen
from bot.team import Limits, Tank
from bot.wording.readings import choices, question, remark

NOW = datetime(2026, 3, 3, 14, 0, tzinfo=UTC)
REEF = Tank("Reef", kind="reef", invertebrates=True, volume=Quantity(100, "gal"))
FRESH = Tank("Corridor", kind="tropical community", invertebrates=False, volume=Quantity(50, "gal"))
UNITS = {"alkalinity": "dKH", "nitrate": "mg/L", "ph": "pH", "temperature": "degF", "salinity": "SG"}


def read(parameter, value, unit=None, **more):
    return Reading(parameter, value, unit or UNITS.get(parameter, "mg/L"), tank="Reef", **more)


def past(parameter, *values, days=7, unit=None):
    """Readings a week apart (or `days`), the last one so long before now; given oldest first."""
    seen = [Seen(NOW - timedelta(days=days * n), read(parameter, v, unit)) for n, v in enumerate(values[::-1], 1)]
    return {parameter: seen}


def beside(**values):
    """Other readings of the same message."""
    return {name: [Seen(NOW, read(name, value))] for name, value in values.items()}


def verdicts(reading, tank=REEF, seen=(), done=(), stands=False):
    return judge(reading, NOW, tank, Record(dict(seen), done), stands)


def kinds(*args, **more):
    return [verdict.kind for verdict in verdicts(*args, **more)]


def said(*args, **more):
    found = verdicts(*args, **more)
    return remark(found[0]) if found else ""


def test_in_range_and_as_always_nothing_is_said():
    assert kinds(read("alkalinity", 8.4), seen=past("alkalinity", 8.5, 8.3, 8.4, 8.6, 8.5)) == []


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (read("alkalinity", 7.0), "Watch: alk 7 dKH, below usual 7.5"),
        (read("alkalinity", 6.2), "Watch: alk 6.2 dKH: act below 6.5"),
        (read("temperature", 84.4), "Watch: 84.4 °F: act above 83.3"),
        (read("ph", 7.6), "Watch: pH 7.6: act below 7.7"),
        (read("nitrate", 45), "Watch: NO3 45 mg/L: act above 40"),
        (read("salinity", 1.0235), "Watch: SG 1.0235: act below 1.0243"),
        (read("salinity", 31, "ppt"), "Watch: salinity 31 ppt: act below 32"),
        (read("calcium", 380), "Watch: Ca 380 mg/L, below usual 400"),
        (read("nitrate", 25, below=True), ""),
        (read("nitrate", 15, above=True), ""),
        (read("nitrate", 50, above=True), "Watch: NO3 50 mg/L: act above 40"),
        (read("nitrate", 30, low=20, high=45), "Watch: NO3 45 mg/L: act above 40"),
        (read("nitrate", 11, "mg/L", basis="N"), "Watch: NO3 11 mg/L: act above 9"),
    ],
)
def test_out_of_range_is_named_with_its_limit_in_the_unit_it_was_read_in(reading, words):
    assert said(reading) == words


def test_the_tanks_own_range_goes_before_its_kinds():
    own = Tank("Reef", kind="reef", ranges={"alkalinity": Limits(9.0, 10.5, "dKH")})
    assert said(read("alkalinity", 8.9), own) == "Watch: alk 8.9 dKH, below this tank's 9"
    assert said(read("alkalinity", 8.9)) == ""


def test_a_range_in_sg_judges_a_reading_in_ppt():
    own = Tank("Reef", kind="reef", ranges={"salinity": Limits(1.025, 1.027, "SG")})
    assert kinds(read("salinity", 34, "ppt"), own) == []
    assert kinds(read("salinity", 36.5, "ppt"), own) == ["outside"]


def test_a_kind_without_a_table_and_a_tank_without_a_kind_are_judged_by_what_holds_everywhere():
    assert kinds(read("alkalinity", 1), Tank("X")) == []
    assert kinds(read("chlorine", 0.1), Tank("X")) == ["poison"]


@pytest.mark.parametrize("of", ["source", "batch", "bag", "sump"])
def test_only_the_tanks_own_water_is_judged(of):
    assert kinds(read("nitrate", 400, of=of)) == []


def test_a_slip_of_the_point_is_unlike_the_tank_and_says_what_was_meant():
    odd = read("alkalinity", 83, "mg/L CaCO3")
    found = verdicts(odd, seen=past("alkalinity", 8.2, 8.6, 8.4, 8.3))
    strange = next(v for v in found if v.kind == "unlike")
    assert question(strange, odd)[0] == "alk 83 mg/L CaCO3 = 4.7 dKH? Usual 8.2 to 8.6."
    assert choices(strange, odd) == (("It is 4.7", "confirm"), ("I meant 8.3", "8.3 dKH"), ("Drop", "drop"))


@pytest.mark.parametrize(
    ("typed", "usual", "meant"),
    [
        (read("alkalinity", 3.8), (8.2, 8.5, 8.3), Quantity(8.3, "dKH")),
        (read("alkalinity", 3.0), (8.5, 8.4, 8.6), Quantity(3.0, "meq/L")),
        (read("calcium", 42), (420, 425, 415), Quantity(420, "mg/L")),
        (read("temperature", 25.5, "degF"), (78, 78.4, 77.9), Quantity(25.5, "degC")),
        (read("salinity", 26.4, "ppt"), (1.0262, 1.0264, 1.026), Quantity(1.0264, "SG")),
        (read("ph", 6.1), (8.2, 8.1, 8.2), None),
    ],
)
def test_what_a_slip_may_have_stood_for(typed, usual, meant):
    strange = next(v for v in verdicts(typed, seen=past(typed.parameter, *usual)) if v.kind == "unlike")
    assert strange.data["meant"] == meant


def test_a_tank_that_swings_is_not_unlike_itself():
    assert "unlike" not in kinds(read("temperature", 64), seen=past("temperature", 75, 62, 71, 60, 77, 66))


def test_a_fall_that_the_water_changes_explain_is_not_unlike():
    seen = past("nitrate", 80, 82, 78, 80)
    assert "unlike" in kinds(read("nitrate", 2), seen=seen)
    half = [Done(NOW - timedelta(days=d), Event("water_change", tank="Reef", amount=60, unit="%")) for d in (1, 2, 3)]
    assert "unlike" not in kinds(read("nitrate", 5), seen=seen, done=half)


def test_two_readings_are_too_few_to_know_a_tank_by():
    assert "unlike" not in kinds(read("alkalinity", 5.0), seen=past("alkalinity", 8.4, 8.5))
    assert "unlike" in kinds(read("calcium", 42), seen=past("calcium", 420))


def test_a_sudden_rise_of_ammonia_is_news_a_wild_one_is_asked_about():
    warm = beside(ph=8.2, temperature=78)
    quiet = past("ammonia", 0, 0, 0, 0)
    assert kinds(read("ammonia", 0.5), seen={**quiet, **warm}) == ["free_ammonia", "outside"]
    assert "unlike" in kinds(read("ammonia", 4), seen={**quiet, **warm})
    assert "unlike" not in kinds(read("ammonia", 4), seen={**past("ammonia", 2, 4, 3), **warm})


def test_free_ammonia_takes_the_ph_and_temperature_of_the_same_visit():
    # 35 ppt, 25 degC, pH 8.2: 6.59 % un-ionised (Bower & Bidwell 1978, as in the handbook table): 0.5 gives 0.033
    sea = beside(ph=8.2, temperature=77) | {"salinity": [Seen(NOW, read("salinity", 35, "ppt"))]}
    assert said(read("ammonia", 0.5), seen=sea) == "Watch: free ammonia 0.03 mg/L, care from 0.02 mg/L"
    # fresh, 25 degC, pH 8.4: 12.5 % (Emerson 1975): 0.5 gives 0.062
    fresh = beside(ph=8.4, temperature=77)
    assert said(read("ammonia", 0.5), FRESH, seen=fresh).startswith("Next: free ammonia 0.06 mg/L, harm from 0.05")
    # fresh, 25 degC, pH 7.0: 0.57 %: 0.5 gives 0.003
    assert kinds(read("ammonia", 0.5), FRESH, seen=beside(ph=7.0, temperature=77)) == ["outside"]


def test_without_a_ph_the_free_share_is_asked_for_not_guessed():
    assert said(read("ammonia", 0.5)) == "Next: test pH and temperature: it decides how toxic ammonia is"
    old = {"ph": [Seen(NOW - timedelta(days=3), read("ph", 8.2))], **beside(temperature=78)}
    assert said(read("ammonia", 0.5), seen=old) == "Next: test pH: it decides how toxic ammonia is"
    assert kinds(read("ammonia", 0)) == kinds(read("ammonia", 0.25, below=True)) == []


def test_nitrite_in_fresh_water_is_held_against_the_chloride():
    assert "chloride" in kinds(read("nitrite", 1), FRESH)
    assert said(read("nitrite", 0.5), FRESH) == "Next: test chloride: NO2 0.5 mg/L wants 5 mg/L of it or more"
    poor, rich = past("chloride", 4), past("chloride", 100)
    assert said(read("nitrite", 0.5), FRESH, seen=poor) == "Watch: NO2 0.5 mg/L wants chloride 5 mg/L or more, last 4"
    assert "chloride" not in kinds(read("nitrite", 0.5), FRESH, seen=rich)
    assert "chloride" not in kinds(read("nitrite", 0.5), REEF)


def test_chlorine_anywhere_and_copper_with_invertebrates_come_first():
    assert said(read("chlorine", 0.05)).startswith("Next: chlorine 0.05 mg/L, must be none")
    assert said(read("copper", 0.1)).startswith("Next: Cu 0.1 mg/L with invertebrates here")
    assert kinds(read("copper", 0.18), FRESH) == []
    assert kinds(read("chlorine", 0)) == kinds(read("chlorine", 0.1, below=True)) == []


def test_a_reading_soon_after_a_dose_is_to_be_taken_again():
    dose = [Done(NOW - timedelta(minutes=20), Event("dose", tank="Reef", amount=20, unit="mL", subject="alk"))]
    assert said(read("alkalinity", 8.4), done=dose) == "Next: alk again in 40 min: dosed alk 20 mL 20 min ago"
    assert kinds(read("calcium", 425), done=dose) == []
    assert kinds(read("alkalinity", 8.4), done=[Done(NOW - timedelta(hours=2), dose[0].event)]) == []
    assert kinds(read("alkalinity", 8.4), done=[Done(NOW, dose[0].event)]) == []


def test_a_move_faster_than_the_tank_may_is_said():
    yesterday = past("alkalinity", 8.0, 8.1, 8.0, 8.2, days=1)
    assert "unlike" in kinds(read("alkalinity", 10.4), seen=yesterday)
    assert said(read("alkalinity", 10.4), seen=yesterday, stands=True) == (
        "Watch: alk 8.2 to 10.4 dKH in 24 h, faster than this tank may"
    )
    assert kinds(read("alkalinity", 8.8), seen=yesterday) == []
    gentle = Tank("Reef", kind="reef", ranges={"alkalinity": Limits(7, 11, "dKH", most_per_day=0.3)})
    assert kinds(read("alkalinity", 9.0), gentle, seen=yesterday)[0] == "fast"


def test_a_steady_drift_is_told_before_it_leaves_the_range():
    falling = past("alkalinity", 9.8, 9.6, 9.4, 9.1, 9.0, 8.7, 8.5)
    found = verdicts(read("alkalinity", 8.2), seen=falling)
    assert "leaving" in [v.kind for v in found]
    line = remark(next(v for v in found if v.kind == "leaving"))
    assert line == "Watch: alk below 7.5 dKH in 3 weeks (3 to 4) if nothing changes"


def test_a_drift_towards_the_middle_is_no_news():
    assert kinds(read("alkalinity", 8.6), seen=past("alkalinity", 7.6, 7.8, 8.0, 8.2, 8.4)) == []


def test_three_visits_the_same_way_make_a_run():
    assert said(read("nitrate", 12), seen=past("nitrate", 6, 9)) == "Watch: NO3 up 3rd visit (6, 9, 12)"
    assert kinds(read("nitrate", 7), seen=past("nitrate", 6, 6.5)) == []
    assert kinds(read("nitrate", 9), seen=past("nitrate", 6, 12)) == []


def test_two_readings_of_one_visit_are_one_step_of_a_run():
    seen = {"nitrate": [Seen(NOW - timedelta(hours=1), read("nitrate", 9)), *past("nitrate", 6)["nitrate"]]}
    assert kinds(read("nitrate", 12), seen=seen) == []


def test_nought_at_four_visits_where_something_should_show_doubts_the_kit():
    assert "flat" in kinds(read("nitrate", 0), FRESH, seen=past("nitrate", 0, 0, 0))
    assert kinds(read("nitrate", 0), FRESH, seen=past("nitrate", 0, 5, 0)) == []
    assert kinds(read("nitrite", 0), FRESH, seen=past("nitrite", 0, 0, 0)) == []


def test_the_most_pressing_comes_first():
    found = verdicts(read("ammonia", 1), FRESH, seen=beside(ph=8.4, temperature=80))
    assert [v.rank for v in found] == sorted(v.rank for v in found)
    assert found[0].kind == "free_ammonia"
    assert RANKS.index("alarm") < RANKS.index("outside") < RANKS.index("leaving")


def test_an_unlike_reading_draws_no_trend():
    found = kinds(read("alkalinity", 2.1), seen=past("alkalinity", 9.8, 9.6, 9.4, 9.1, 9.0, 8.7))
    assert "unlike" in found
    assert not {"leaving", "run", "fast"} & set(found)


@pytest.mark.parametrize("parameter", sorted(UNITS))
def test_no_remark_is_longer_than_a_line_of_the_chat(parameter):
    values = {"alkalinity": 6, "nitrate": 60, "ph": 7.2, "temperature": 90, "salinity": 1.020}
    for verdict in verdicts(read(parameter, values[parameter]), seen=past(parameter, *[values[parameter] * 1.02] * 5)):
        assert len(remark(verdict)) <= 90


@pytest.mark.parametrize(
    ("second", "done", "asked"),
    [
        (4.7, (), True),
        (8.0, (), False),
        (4.7, (Done(NOW - timedelta(minutes=2), Event("dose", subject="buffer")),), False),
    ],
)
def test_a_second_test_at_once_that_disagrees_with_the_first_is_asked_about(second, done, asked):
    just_now = {"alkalinity": [Seen(NOW - timedelta(minutes=5), read("alkalinity", 7.8))]}
    assert ("unlike" in kinds(read("alkalinity", second), seen=just_now, done=done)) is asked


def test_sea_water_in_a_fresh_tank_nobody_knows_is_asked_about():
    assert "unlike" in kinds(read("salinity", 1.026), tank=FRESH)
    assert "unlike" not in kinds(read("salinity", 1.002), tank=FRESH)
