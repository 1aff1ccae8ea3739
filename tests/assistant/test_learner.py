"""Somebody who learns: a question goes out with the card, the answer comes back and stays; practice leaves nothing."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from bot.assistant.desk import handle
from bot.messages import Pressed
from bot.store import outbox
from tests.assistant.crew import Day

LEAVES_NOTHING = (
    "fact", "standing", "reversal", "journal", "wait", "pending", "reminder", "conversation", "worked", "roster",
)  # fmt: skip


def rows_of(day: Day, *tables: str) -> dict[str, int]:
    return {t: day.db.conn.execute(f"select count(*) from {t}").fetchone()[0] for t in tables or LEAVES_NOTHING}


def told(day: Day, who: str) -> list[dict[str, Any]]:
    cursor = day.db.conn.execute("select text, sound, buttons from outbox where chat = ? and unasked = 1", [who])
    return [dict(row) for row in cursor]


def test_a_question_goes_to_the_mentor_with_the_tanks_card_and_the_step():
    day = Day()
    day.say("kofi", "here quillow")
    day.say("kofi", "plan")
    assert "What do you want to ask Ines?" in day.press("kofi", "Ask Ines")
    assert "Asked Ines" in day.say("kofi", "how long does the heater cool")
    (asked,) = told(day, "ines")
    assert asked["text"].splitlines()[0] == "Kofi asks at the step look: how long does the heater cool"
    assert "Quillow lobby" in asked["text"] and asked["sound"]


def test_the_answer_comes_back_and_the_next_one_gets_it_without_asking():
    day = Day()
    day.say("kofi", "ask ines how long does the heater cool")
    day.press("ines", "Answer")
    assert "kept under how we do it" in day.say("ines", "ten minutes, until you can hold it")
    assert "ten minutes" in told(day, "kofi")[0]["text"]
    assert "ten minutes" in day.say("kofi", "ask ines how long does the heater cool")
    assert len(told(day, "ines")) == 1
    assert "ten minutes" in day.say("tomasz", "explain heater cool")


def test_an_answer_may_be_a_reply_to_the_question():
    day = Day()
    day.say("kofi", "ask ines when do we feed")
    ref = day.db.conn.execute("select ref from outbox where chat = 'ines' order by id desc").fetchone()[0]
    assert "Told Kofi" in day.say("ines", "last thing, after the lights", reply_to=ref)
    assert "after the lights" in told(day, "kofi")[0]["text"]


def test_numbers_sent_meanwhile_are_no_answer():
    day = Day()
    day.say("kofi", "ask ines when do we feed")
    day.press("ines", "Answer")
    assert day.say("ines", "brindlemoor ph 8.2").startswith("Brindlemoor bar")
    assert told(day, "kofi") == []


def test_to_ask_somebody_for_something_is_still_a_job():
    assert "task: order nets" in Day().say("kofi", "ask petra to order nets")


@pytest.mark.parametrize("text, word", [("what is a drip", "drop by drop"), ("explain alkalinity", "pH up")])
def test_words_of_the_trade_are_explained_in_two_lines(text, word):
    said = Day().say("kofi", text)
    assert word in said and len(said.splitlines()) == 2


def test_how_long_here_is_what_the_team_has_set():
    day = Day()
    day.say("kofi", "what is a drip")
    assert day.press("kofi", "How long here") == "drip: 60 min here (30 min to 120 min)"


def test_a_gate_has_one_line_of_why_for_those_who_learn_and_none_for_others():
    for who, why in (("kofi", True), ("ines", False)):
        day = Day()
        day.say(who, "quillow nets in neutraliser 10 min")
        day.wait(minutes=10)
        assert ("still harm gills" in day.say(who, "out")) is why


def test_sums_show_their_steps_to_those_who_learn():
    assert len(Day().say("kofi", "how much salt for 40 litres to 1.025").splitlines()) > len(
        [line for line in Day().say("ines", "how much salt for 40 litres to 1.025").splitlines() if "kg" in line]
    )


def test_going_past_a_gate_is_not_for_those_who_learn():
    day = Day()
    day.say("kofi", "quillow return pump off")
    day.say("kofi", "leaving")
    assert "learner" in day.say("kofi", "override: client said it is fine")


def test_on_the_practice_tank_everything_works_and_nothing_is_stored():
    day = Day()
    before = rows_of(day)
    day.say("kofi", "practice")
    after_word = rows_of(day)
    assert day.say("kofi", "temp 25.4 ph 8.1").startswith("Practice tank")
    assert "Practice tank" in day.say("kofi", "floating 2 clowns 20 min")
    assert "Taken back" in day.press("kofi", "Undo")
    day.say("kofi", "20% wc")
    assert "cannot be" in day.say("kofi", "ph 82")
    day.say("kofi", "end practice")
    assert rows_of(day) == after_word
    assert {t: after_word[t] - before[t] for t in LEAVES_NOTHING} == dict.fromkeys(LEAVES_NOTHING, 0) | {
        "conversation": 1, "journal": 1,
    }  # fmt: skip


def test_its_clock_runs_sixty_times_as_fast_and_each_ping_comes_once():
    day = Day()
    day.say("kofi", "practice")
    day.say("kofi", "floating 2 clowns 20 min")
    assert "OUT NOW Practice tank: 2 clowns floating" in day.wait(seconds=21)["kofi"]
    assert "kofi" not in day.wait(seconds=30)
    assert "drip" in day.press("kofi", "Out")


def test_it_survives_a_restart_because_only_what_was_said_is_kept():
    day = Day()
    day.say("kofi", "practice")
    day.say("kofi", "ph 8.1")
    day.wait(minutes=1)
    day.say("kofi", "ph was 8.2 not 8.1")
    assert "8.2" in day.say("kofi", "last readings")


def test_old_buttons_of_a_practice_never_reach_a_real_wait():
    day = Day()
    day.say("kofi", "practice")
    day.say("kofi", "floating 2 clowns 20 min")
    day.say("kofi", "end practice")
    day.say("kofi", "quillow floating 3 chromis 20 min")
    shown = [r["buttons"] for r in day.db.conn.execute("select buttons from outbox where buttons like '%px:u:%'")]
    assert shown
    data = shown[0].split('"px:')[1].split('"')[0]
    handle(day.db, Pressed(day.now, "kofi", "kofi", f"px:{data}"))
    assert [i.kind for i in day.in_force()] == ["wait"]
    assert "practice is over" in outbox.unsent(day.db, 10)[-1]["text"]


def test_somebody_hurt_is_never_practice():
    day = Day()
    day.say("kofi", "practice")
    assert "Rinse the eye" in day.say("kofi", "bleach in my eye")
    assert told(day, "mara") and "which tank" in day.say("kofi", "ph 8.1").lower()


def test_left_alone_it_is_over():
    day = Day()
    day.say("kofi", "practice")
    day.now += timedelta(minutes=61)
    assert "which tank" in day.say("kofi", "ph 8.1").lower()
