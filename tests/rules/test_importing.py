"""An old log, understood: columns, dates, cells, tanks; doubts named, nothing guessed."""

from datetime import UTC, date, datetime, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.items import Event, Quantity, Reading
from bot.rules.importing import plan
from bot.rules.importing_dates import stamp
from bot.rules.importing_rows import Choices
from bot.rules.importing_text import decoded, rows_of, separator
from bot.team import Person, Tank, Team

NOW = datetime(2026, 3, 3, 14, 0, tzinfo=UTC)
TEAM = Team(
    people=(Person("odile"),),
    tanks=(Tank("Merriwick waiting room", kind="reef", nicknames=("mwr",)), Tank("Ferndrake bar", kind="reef")),
)


def log(header, *rows, sep=","):
    return "\n".join(sep.join(cells) for cells in (header, *rows))


def one(header, cell, tank="mwr", **choices):
    """The readings and faults of a log with one test and one row."""
    found = plan(log(["Date", "Tank", header], ["2024-03-25", tank, cell], sep="\t"), TEAM, NOW, Choices(**choices))
    (line,) = found.lines
    return [i for i in line.items if isinstance(i, Reading)], line.faults


@pytest.mark.parametrize(
    ("header", "cell", "parameter", "value", "unit"),
    [
        ("NO3 (ppm)", "6", "nitrate", 6, "mg/L"),
        ("NO3_ppm", "6", "nitrate", 6, "mg/L"),
        ("Nitrate NO3 mg/l", "6", "nitrate", 6, "mg/L"),
        ("Temp (F)", "78.4", "temperature", 78.4, "degF"),
        ("Temp", "25,6", "temperature", 25.6, "degC"),
        ("Temperature C", "25.6", "temperature", 25.6, "degC"),
        ("Alk dKH", "8.3", "alkalinity", 8.3, "dKH"),
        ("Alkalinity (meq/L)", "2.9", "alkalinity", 2.9, "meq/L"),
        ("KH", "8", "alkalinity", 8, "dKH"),
        ("SG", "1.0255", "salinity", 1.0255, "SG"),
        ("SG", "1025", "salinity", 1.025, "SG"),
        ("Salinity (ppt)", "35", "salinity", 35, "ppt"),
        ("pH", "8,2", "ph", 8.2, "pH"),
        ("Ca", "425", "calcium", 425, "mg/L"),
        ("Mg [ppm]", "1280", "magnesium", 1280, "mg/L"),
        ("ORP (mV)", "320", "orp", 320, "mV"),
        ("Cond (uS)", "310", "conductivity", 310, "uS/cm"),
        ("D.O. (%)", "95", "oxygen", 95, "%"),
        ("GH", "8", "hardness", 8, "dGH"),
    ],
)
def test_a_column_is_known_by_its_name_its_unit_and_its_cells(header, cell, parameter, value, unit):
    (reading,), faults = one(header, cell)
    assert (reading.parameter, reading.value, reading.unit, faults) == (parameter, value, unit, ())
    assert reading.tank == "Merriwick waiting room"


@pytest.mark.parametrize("cell", ["n/d", "ND", "n.d.", "BDL", "none detected", "<LOD"])
def test_below_the_limit_in_any_spelling_is_kept_as_below(cell):
    (reading,), faults = one("NO3", cell)
    assert reading.below
    assert reading.value == 0
    assert faults == ()


def test_limits_ranges_and_two_values_in_a_cell_are_kept():
    (below,), _ = one("NO3", "<0.25")
    assert (below.value, below.below) == (0.25, True)
    (between,), _ = one("NO3", "5-10")
    assert (between.value, between.low, between.high) == (7.5, 5, 10)
    both, faults = one("Temp F", "77.8 / 77.2")
    assert ([r.value for r in both], faults) == ([77.8, 77.2], ())
    pair, faults = one("pH / SG", "8.2 / 1.025")
    assert ([(r.parameter, r.value) for r in pair], faults) == ([("ph", 8.2), ("salinity", 1.025)], ())


@pytest.mark.parametrize("cell", ["", "-", "n/a", "not tested", "--"])
def test_a_cell_that_says_nothing_gives_nothing_and_no_fault(cell):
    found = plan(log(["Date", "Tank", "pH", "NO3"], ["2024-03-25", "mwr", "8.2", cell]), TEAM, NOW)
    assert [i.parameter for i in found.lines[0].items] == ["ph"]
    assert found.lines[0].fate == "fine"


def test_what_cannot_be_is_named_and_the_rest_of_the_row_is_kept():
    found = plan(log(["Date", "Tank", "pH", "NO3"], ["2024-03-25", "mwr", "82", "6"]), TEAM, NOW)
    (line,) = found.lines
    assert [(i.parameter, i.value) for i in line.items] == [("nitrate", 6)]
    assert (line.fate, line.faults) == ("doubtful", ("pH 82 cannot be",))


def test_a_value_unlike_the_tanks_others_is_kept_unconfirmed():
    rows = [[f"2024-03-{day}", "mwr", value] for day, value in enumerate(["8.2", "8.4", "8.3", "3.8", "8.5"], 10)]
    found = plan(log(["Date", "Tank", "Alk dKH"], *rows), TEAM, NOW)
    assert [item.unconfirmed for line in found.lines for item in line.items] == [False, False, False, True, False]
    assert [line.fate for line in found.lines].count("doubtful") == 1


def test_a_slip_of_the_point_that_fits_another_unit_is_doubted_too():
    rows = [[f"2024-03-{day}", "mwr", value] for day, value in enumerate(["8.2", "8.4", "83", "8.5"], 10)]
    found = plan(log(["Date", "Tank", "KH"], *rows), TEAM, NOW)
    assert [item.unconfirmed for line in found.lines for item in line.items] == [False, False, True, False]


def test_a_tank_whose_values_swing_is_not_doubted():
    rows = [[f"2024-03-{d}", "mwr", "n/d" if d % 2 else str(d)] for d in range(10, 30)]
    assert plan(log(["Date", "Tank", "NO3"], *rows), TEAM, NOW).count("doubtful") == 0


@pytest.mark.parametrize(
    ("text", "day", "at"),
    [
        ("2024-03-04", date(2024, 3, 4), None),
        ("2024/3/4 14:05", date(2024, 3, 4), time(14, 5)),
        ("4.3.2024", date(2024, 3, 4), None),
        ("4 Mar 2024", date(2024, 3, 4), None),
        ("4-Mar-24", date(2024, 3, 4), None),
        ("March 4, 2024 2:05 PM", date(2024, 3, 4), time(14, 5)),
        ("25/3/2024", date(2024, 3, 25), None),
        ("3/25/24 8:30", date(2024, 3, 25), time(8, 30)),
        ("45355", date(2024, 3, 4), None),
        ("45355.5", date(2024, 3, 4), time(12, 0)),
    ],
)
def test_dates_in_every_spelling(text, day, at):
    found = stamp(text)
    assert not found.is_open
    assert (found.on(None), found.clock) == (day, at)


def test_a_whole_instant_keeps_its_zone():
    found = plan(log(["time", "tank", "pH"], ["2026-03-02T08:41:00-08:00", "mwr", "8.2"]), TEAM, NOW)
    assert found.lines[0].at == datetime(2026, 3, 2, 16, 41, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "x", "8.2", "32/13/2024", "2024-13-40"])
def test_what_is_no_date_is_none(text):
    found = stamp(text)
    assert found is None or found.on(None) is None


def test_the_order_of_days_and_months_is_told_by_the_dates_themselves_or_asked_once():
    open_dates = log(["Date", "Tank", "pH"], ["3/4/2024", "mwr", "8.2"], ["5/6/2024", "mwr", "8.2"])
    assert plan(open_dates, TEAM, NOW).question.sample == "3/4/2024"
    told = open_dates + "\n25/6/2024,mwr,8.2"
    assert plan(told, TEAM, NOW).question is None
    assert plan(told, TEAM, NOW).lines[0].at.month == 4
    for day_first, month in ((True, 4), (False, 3)):
        answered = plan(open_dates, TEAM, NOW, Choices(day_first=day_first))
        assert (answered.question, answered.lines[0].at.month) == (None, month)


def test_the_unit_of_a_column_is_asked_where_its_values_fit_two():
    text = log(["Date", "Tank", "Alk"], ["2024-03-25", "mwr", "2.9"], ["2024-03-26", "mwr", "3.1"])
    asked = plan(text, TEAM, NOW).question
    assert (asked.about, asked.sample, asked.options) == ("unit", "Alk", ("dKH", "meq/L"))
    told = plan(text, TEAM, NOW, Choices(units={"Alk": "meq/L"}))
    assert told.question is None
    assert {i.unit for line in told.lines for i in line.items} == {"meq/L"}


def test_never_more_than_one_question():
    text = log(["Date", "Tank", "Alk"], ["3/4/2024", "mwr", "2.9"], ["5/4/2024", "mwr", "3.1"])
    assert plan(text, TEAM, NOW).question.about == "dates"
    assert plan(text, TEAM, NOW, Choices(day_first=True)).question.about == "unit"


def test_tanks_are_known_by_name_and_nickname_like_ones_asked_new_ones_told():
    rows = [["2024-03-25", tank, "8.2"] for tank in ("MWR", "merriwick  waiting room", "Ferndrak bar", "Old tank")]
    found = plan(log(["Date", "Tank", "pH"], *rows), TEAM, NOW)
    assert [line.tank for line in found.lines] == ["Merriwick waiting room", "Merriwick waiting room", None, "Old tank"]
    assert found.lines[2].faults == ("Ferndrak bar: is that Ferndrake bar?",)
    assert found.new_tanks == ("Old tank",)


def test_rows_without_tank_take_the_one_that_was_said():
    text = log(["Date", "pH"], ["2024-03-25", "8.2"])
    assert plan(text, TEAM, NOW).lines[0].faults == ("no tank",)
    assert plan(text, TEAM, NOW, Choices(tank="Ferndrake bar")).lines[0].items[0].tank == "Ferndrake bar"


def test_a_date_still_to_come_is_not_taken():
    (line,) = plan(log(["Date", "Tank", "pH"], ["2036-03-25", "mwr", "8.2"]), TEAM, NOW).lines
    assert (line.fate, line.faults) == ("unreadable", ("2036-03-25 is still to come",))


def test_notes_and_hands_survive():
    text = log(["Date", "Tank", "pH", "Notes", "By"], ["2024-03-25", "mwr", "8.2", '"20% wc, fed"', "Odile"])
    (line,) = plan(text, TEAM, NOW).lines
    assert line.who == "odile"
    assert Event("note", "Merriwick waiting room", subject="20% wc, fed", at=line.at) in line.items


def test_tests_one_to_a_row_are_read_as_well():
    rows = [["2024-03-25", "mwr", "Nitrate", "6", "ppm"], ["2024-03-25", "mwr", "Alkalinity", "2.9", "meq/L"]]
    found = plan(log(["Date", "Tank", "Parameter", "Value", "Unit"], *rows), TEAM, NOW)
    values = [Quantity(i.value, i.unit) for line in found.lines for i in line.items]
    assert values == [Quantity(6, "mg/L"), Quantity(2.9, "meq/L")]


@pytest.mark.parametrize("sep", [",", ";", "\t", "|"])
def test_any_separator_will_do(sep):
    text = log(["Date", "Tank", "pH", "Notes"], ["2024-03-25", "mwr", "8.2", "ok"], sep=sep)
    assert separator(text) == sep
    assert plan(text, TEAM, NOW).count("fine") == 1


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_old_encodings_are_read(encoding):
    assert decoded("Größe °F;ä".encode(encoding)) == "Größe °F;ä"


def test_a_title_above_the_header_and_the_header_again_below_are_no_rows():
    text = "Our log 2024,,\n" + log(["Date", "Tank", "pH"], ["2024-03-25", "mwr", "8.2"], ["Date", "Tank", "pH"])
    assert len(plan(text, TEAM, NOW).lines) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Put one on top"),
        ("1,2,3\n4,5,6", "Put one on top"),
        ("Tank,pH\nmwr,8.2", "No column holds dates"),
        ("Date,Tank\n2024-03-25,mwr", "No column holds readings"),
        ("Date,Tank,pH\n2024-03-25,mwr," + "8" * 200_000, "no table that can be read"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_to_do(text, says):
    assert says in plan(text, TEAM, NOW).problem


def test_columns_nobody_understands_are_named_not_guessed():
    text = log(["Date", "Tank", "pH", "Weather"], ["2024-03-25", "mwr", "8.2", "sunny"])
    assert [c.header for c in plan(text, TEAM, NOW).columns if not c.role] == ["Weather"]


def test_a_cell_kept_from_a_spreadsheet_by_an_apostrophe_is_read_without_it():
    assert rows_of("a,b\n'=1,'x")[1].cells == ("=1", "'x")


CELLS = st.text(alphabet="Date,Tank;pH\t\n\"'0123456789./-: <>nd\x00\u2028é=|()F°", max_size=120)
HEADERS = st.sampled_from(["", "Date,Tank,pH,NO3\n", "Date;Tank;Temp (F);SG\n", "date,parameter,value\n"])


@settings(max_examples=60, deadline=None)
@given(HEADERS, CELLS)
def test_whatever_stands_in_a_file_it_is_planned_or_refused_never_a_crash(header, cells):
    found = plan(header + cells, TEAM, NOW)
    assert found.problem or all(line.fate == "unreadable" or line.items for line in found.lines)
