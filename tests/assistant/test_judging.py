"""Whole messages with values that cannot be, or are unlike their tank: nothing wrong is stored unnoticed."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.assistant.desk import handle
from bot.items import Reading
from bot.messages import Incoming, Pressed
from bot.rules.scales import as_read, middle
from bot.rules.usual import usual
from bot.store import logbook, outbox
from bot.store.database import open_database, rows
from bot.store.demo import load_demo
from bot.store.roster import load_team
from bot.understanding.values import is_possible

NOW = datetime(2026, 3, 10, 13, 0, tzinfo=UTC)
TANK = "Merriwick waiting room"
# What no instrument and no tank can show, by the contract's table of what is possible.
IMPOSSIBLE = {
    "temp": ["780", "120F", "46C", "-3C", "300F"],
    "sg": ["1.25", "1.05", "1.10", "1.5", "2.025"],
    "salinity": ["61 ppt", "75 ppt", "350 ppt", "1.2"],
    "ph": ["82", "2.9", "11.1", "0.5", "14"],
    "ammonia": ["51", "75", "120 ppm", "999"],
    "nitrite": ["101", "150", "500 ppm", "1000"],
    "nitrate": ["1001", "2500", "5000 ppm", "9999"],
    "phosphate": ["51", "75", "100 ppm", "999"],
    "alk": ["41 dkh", "60 dkh", "900 ppm", "2000"],
    "calcium": ["1001", "4200", "42000", "9000 ppm"],
    "magnesium": ["2501", "12800", "13500", "9000 ppm"],
    "potassium": ["1001", "3950", "4000 ppm", "5000"],
    "strontium": ["51", "80", "800 ppm", "75"],
    "iodine": ["5.1", "6", "60 ppm", "50"],
    "silicate": ["101", "150", "500 ppm", "1000"],
    "iron": ["10.1", "15", "50 ppm", "200"],
    "copper": ["10.1", "15", "50 ppm", "200"],
    "chlorine": ["10.1", "15", "50 ppm", "200"],
    "chloride": ["25001", "40000", "99999", "50000 ppm"],
    "oxygen": ["26", "301 %", "50 mg/l", "95 mg/l"],
    "orp": ["1001", "2500", "3200 mv", "5000"],
    "conductivity": ["101 ms", "530 ms", "200000", "150000 us"],
    "gh": ["61", "80", "150 dgh", "2000 ppm"],
    "co2": ["201", "300", "500 ppm", "1000"],
    "tds": ["60001", "99999", "100000 ppm", "75000"],
}
CASES = [f"{word} {value}" for word, values in IMPOSSIBLE.items() for value in values]


class Desk:
    """The demo team, and someone who texts into a chat of their own each time."""

    def __init__(self):
        self.db = open_database(":memory:")
        load_demo(self.db, NOW)
        self.count = 0

    def text(self, words, chat=None):
        self.count += 1
        chat = chat or f"chat {self.count}"
        at = NOW + timedelta(minutes=self.count)
        return handle(self.db, Incoming(at=at, who="odile", chat=chat, text=words, ref=str(self.count)))

    def facts(self, message_id):
        return [f for f in logbook.facts_of(self.db, [message_id]) if not f.void]

    def answer(self, message_id):
        found = rows(self.db, "select * from outbox where message_id = ? order by id", [message_id])
        return outbox.as_outgoing(found[-1])


@pytest.fixture(scope="module")
def desk():
    return Desk()


def test_there_are_a_hundred_impossible_values_over_at_least_twenty_parameters():
    assert len(CASES) >= 100
    assert len(IMPOSSIBLE) >= 20


@pytest.mark.parametrize("words", CASES)
def test_what_cannot_be_is_asked_about_and_not_stored(desk, words):
    message = desk.text(f"{TANK}: {words}")
    assert [f.item for f in desk.facts(message) if isinstance(f.item, Reading)] == []
    assert "?" in desk.answer(message).text


def unlike_values(db):
    """For each test of each tank of the demo a value far above and one far below what the tank shows."""
    for tank in load_team(db).tanks:
        for parameter in tank.panel:
            past = [f.item for f in logbook.series(db, tank.name, parameter)]
            expected = usual(parameter, [v for r in past if (v := middle(r)) is not None])
            for times in (2.2, -2.2, 3.3):
                value = expected.value + times * expected.within
                shown = round(as_read(parameter, value, past[0].unit), 4 if past[0].unit == "SG" else 1)
                if shown > 0 and is_possible(parameter, shown, past[0].unit) and parameter not in SPIKES:
                    yield tank.name, parameter, shown, past[0].unit


SPIKES = ("ammonia", "nitrite", "copper")
WORDS = {"temperature": "temp", "salinity": "", "alkalinity": "alk", "hardness": "gh"}
UNIT_WORDS = {"degF": "F", "SG": "sg", "ppt": "ppt", "dKH": "dkh", "dGH": "dgh", "pH": "", "mg/L": "ppm"}


def test_what_is_unlike_its_tank_is_kept_unconfirmed_and_used_for_nothing():
    desk = Desk()
    cases = list(unlike_values(desk.db))
    assert len(cases) >= 100
    for tank, parameter, value, unit in cases:
        before = logbook.last_confirmed(desk.db, tank, parameter)
        message = desk.text(f"{tank}: {WORDS.get(parameter, parameter)} {value:g} {UNIT_WORDS[unit]}")
        (fact,) = desk.facts(message)
        assert (fact.item.value, fact.item.unit, fact.item.unconfirmed) == (value, unit, True), (tank, parameter)
        assert "unconfirmed" in desk.answer(message).text
        assert logbook.last_confirmed(desk.db, tank, parameter) == before


def test_confirmed_by_a_press_it_counts():
    desk = Desk()
    message = desk.text(f"{TANK}: alk 4.7", chat="odile")
    answer = desk.answer(message)
    button = next(b for b in answer.buttons if b.label == "It is 4.7")
    handle(desk.db, Pressed(NOW + timedelta(minutes=15), "odile", "odile", button.data))
    assert logbook.last_confirmed(desk.db, TANK, "alkalinity").item.value == 4.7


@pytest.mark.parametrize("words", ["I meant 8.3", "8.3", "alk 8.3", "sorry 8.3"])
def test_what_was_meant_goes_in_the_place_of_the_odd_value(words):
    desk = Desk()
    desk.text(f"{TANK}: alk 3.9", chat="odile")
    desk.text(words, chat="odile")
    newest = logbook.series(desk.db, TANK, "alkalinity")[0].item
    assert (newest.value, newest.unit, newest.unconfirmed) == (8.3, "dKH", False)


def test_a_reading_of_another_tank_is_no_answer_to_the_question():
    desk = Desk()
    odd = desk.text(f"{TANK}: alk 83", chat="odile")
    other = desk.text("marlpit reception alk 8.5", chat="odile")
    assert [f.item.unconfirmed for f in desk.facts(odd)] == [True]
    assert [(f.item.tank, f.item.value) for f in desk.facts(other)] == [("Marlpit reception", 8.5)]
