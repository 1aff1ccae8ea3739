"""The client's report: only what stands in a table of ours or is a number can get into it."""

import re
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.facts.load import table
from bot.items import Control, Event, Reading
from bot.rules.report import Kept, Report, animal_in, as_data, changed, from_data, left_on, made, reported, said_of
from bot.team import Client, Limits, Tank, Team
from bot.wording.report import Corrected, lines

ZONE = ZoneInfo("America/New_York")
START = datetime(2026, 3, 3, 8, 30, tzinfo=ZONE)
END = START + timedelta(minutes=42)
TANK = Tank(
    "Quillow reef", "Quillow Dental", "reef", animals=({"name": "firefish", "count": 3},), invertebrates=True,
    ranges={"nitrate": Limits(1, 10, "mg/L")},
)  # fmt: skip
HEAD = Report("Quillow Dental", ("Quillow reef",), START, END, ("ines",))


def kept(*items):
    return [Kept(n, START + timedelta(minutes=n), "ines", item) for n, item in enumerate(items, 1)]


def report(*items, head=HEAD):
    return made([TANK], kept(*items), head)


def reading(parameter, value, unit, **more):
    return Reading(parameter, value, unit, tank=TANK.name, **more)


def event(name, **more):
    return Event(name, tank=TANK.name, **more)


LEAKS = (
    "Reefgold",
    "Sparklex",
    "tomasz",
    "petra",
    "rude",
    "unpaid",
    "override",
    "Brindlemoor",
    "4471",
    "sorry",
    "fault",
)
SUBJECTS = st.lists(
    st.sampled_from((*LEAKS, "glass", "carbon", "firefish", "heater", "alk", "copper", "skimmer cup", "clown", "the")),
    min_size=1, max_size=5,
).map(" ".join)  # fmt: skip
EVENTS = st.builds(
    lambda kind, subject, state, count, to: event(kind, subject=subject, state=state, count=count, to_tank=to),
    st.sampled_from(("cleaning", "filter_service", "dose", "feeding", "equipment", "note", "water_change", "top_off",
                     "livestock_added", "livestock_lost", "livestock_moved")),
    SUBJECTS,
    st.sampled_from((None, "broken", "replaced", "repaired", "off", "on")),
    st.sampled_from((None, 1, 4)),
    st.sampled_from((None, "Brindlemoor bar")),
)  # fmt: skip
CONTROLS = st.builds(lambda s: Control("override", tank=TANK.name, subject=s, reason=s), SUBJECTS)


@settings(max_examples=60)
@given(st.lists(st.one_of(EVENTS, CONTROLS), max_size=8))
def test_no_word_that_somebody_typed_gets_into_it(items):
    text = lines(report(*items)).text
    assert [leak for leak in LEAKS if leak.casefold() in text.casefold()] == []


@settings(max_examples=60)
@given(st.lists(st.one_of(EVENTS, CONTROLS), max_size=8))
def test_every_word_in_it_stands_in_a_table_or_names_the_client_the_tank_or_an_animal(items):
    known = set(re.findall(r"[a-z]+", str(table("report")).casefold())) | ANIMALS | FRAME
    said = set(re.findall(r"[a-z]+", lines(report(*items)).text.casefold()))
    assert said - known == set()


ANIMALS = {w for row in table("words_animals").values() if isinstance(row, dict) for text in row.values()
           for w in re.findall(r"[a-z]+", str(text))}  # fmt: skip
FRAME = frozenset(
    re.findall(
        "[a-z]+",
        """quillow dental reef ines tue march nothing out of the usual seen for you to do we are watching the others
        correcting with a water change today done animals animal an no noted added moved another tank lost is order
        seeing it call us if fifth tenth twentieth quarter half all firefish and""",
    )
)


def test_an_unconfirmed_value_is_not_in_it():
    found = report(reading("nitrate", 9, "mg/L"), reading("ammonia", 9, "mg/L", unconfirmed=True))
    assert [n.parameter for n in found.numbers] == ["nitrate"]
    assert "ammonia" not in lines(found).text
    assert 2 not in found.facts


def test_there_are_four_numbers_at_most_and_what_is_wrong_is_among_them():
    values = (("temperature", 78.4, "degF"), ("salinity", 1.0255, "SG"), ("ph", 8.2, "pH"), ("alkalinity", 8.3, "dKH"),
              ("calcium", 430, "mg/L"), ("phosphate", 0.05, "mg/L"), ("nitrate", 40, "mg/L"))  # fmt: skip
    found = report(*(reading(*v) for v in values))
    assert len(found.numbers) == 4
    assert [n.parameter for n in found.numbers if not n.fine] == ["nitrate"]
    assert "nitrate 40 mg/L: we are correcting it" in lines(found).water


def test_the_last_confirmed_value_of_the_visit_counts():
    found = report(reading("nitrate", 18, "mg/L"), reading("nitrate", 9, "mg/L"))
    assert [(n.value, n.fine) for n in found.numbers] == [(9, True)]


def test_a_value_without_a_range_to_hold_it_against_is_not_called_fine():
    bare = Tank("Bare", "Quillow Dental")
    found = made([bare], kept(Reading("hardness", 9, "dGH", tank="Bare")), HEAD)
    assert found.numbers == ()


def test_a_range_read_off_a_colour_card_is_shown_as_it_was_read():
    found = report(reading("nitrate", 7.5, "mg/L", low=5, high=10))
    assert "nitrate 5 to 10 mg/L" in lines(found).water


def test_losses_are_said_straight_and_then_nothing_is_called_usual():
    said = lines(report(event("livestock_lost", subject="firefish", count=1)))
    assert said.animals == "1 firefish lost."
    assert "1 firefish lost" in said.first and "out of the usual" not in said.first


def test_animals_let_out_of_the_bag_are_added_once():
    let_out = Control("done", tank=TANK.name, wait="drip", subject="2 clowns", answers=("matched", "water_zero"))
    assert lines(report(let_out)).animals == "2 clowns added."
    told = event("livestock_added", subject="clowns", count=2)
    assert lines(report(let_out, told)).animals == "2 clowns added."


def test_a_broken_machine_is_told_until_it_is_replaced():
    broke = event("equipment", subject="heater", state="broken", open=True)
    assert "The heater is out of order; we are seeing to it." in lines(report(broke)).first
    new = event("equipment", subject="heater", state="replaced", closes=True)
    assert "out of order" not in lines(report(broke, new)).first
    assert "heater replaced" in lines(report(broke, new)).done


def test_a_medication_is_told_by_its_order_and_never_by_its_name():
    assert said_of(event("dose", subject="copper sulfate")) == "treatment given as the veterinarian instructed"


def test_what_runs_on_is_what_the_desk_must_leave_alone():
    head = Report("Quillow Dental", ("Quillow reef",), START, END, ("ines",), left=left_on([("pump_off", "")]))
    first = lines(report(head=head)).first
    assert first == "A pump is switched off: please do not switch it on."


def test_the_text_has_six_lines_at_most():
    found = report(reading("nitrate", 40, "mg/L"), event("water_change", amount=20, unit="%"), event("cleaning"),
                   event("livestock_lost", subject="firefish", count=1), head=HEAD)  # fmt: skip
    was = Corrected(START.date(), changed(report(reading("nitrate", 18, "mg/L")), found))
    assert len(lines(found, "555-0100", {"please": "one pinch a day"}, was).text.splitlines()) <= 6


def test_a_corrected_report_says_what_changed():
    before, now = report(reading("nitrate", 18, "mg/L")), report(reading("nitrate", 9, "mg/L"))
    said = lines(now, was=Corrected(START.date(), changed(before, now)))
    assert said.title.startswith("Corrected report: ")
    assert "Changed since the report of Tue 3 March: nitrate 9 mg/L, not 18 mg/L." in said.first
    assert changed(now, now) == ()


def test_a_test_once_shown_stays_in_the_corrected_one():
    four = [reading("temperature", 78.4, "degF"), reading("salinity", 1.0255, "SG"), reading("ph", 8.2, "pH")]
    before = report(*four, reading("nitrate", 40, "mg/L"))
    after = made([TANK], kept(*four, reading("nitrate", 9, "mg/L")), before)
    assert [n.parameter for n in after.numbers] == [n.parameter for n in before.numbers]


def test_plain_data_gives_the_same_report_again():
    found = report(
        reading("nitrate", 40, "mg/L"), event("livestock_lost", subject="firefish", count=1), event("feeding")
    )
    assert from_data(as_data(found)) == found


def test_nobody_reads_reports_of_quarantine_or_of_the_teams_own_tanks():
    clients = (Client("Quillow Dental"), Client("the shop"), Client("Quiet Ltd", data={"report": False}))
    team = Team(clients=clients)
    assert reported(team, TANK)
    assert not reported(team, Tank("QT-1", "Quillow Dental", "quarantine"))
    assert not reported(team, Tank("Display", "the shop"))
    assert not reported(team, Tank("Hall", "Quiet Ltd"))
    assert not reported(team, Tank("Nobody's"))


def test_an_animal_is_named_without_the_words_around_it():
    assert animal_in("firefish tomasz left the lid open", TANK) == "firefish"
    assert animal_in("2 yellow tangs, petra's", TANK) == "yellow tangs"
    assert animal_in("Reefgold", TANK) == ""
