"""The card on arrival: days since, minutes planned, the last numbers, one thing to watch, what is to be done."""

from __future__ import annotations

from datetime import timedelta

from bot.store import outbox
from tests.assistant.crew import CREW, Day


def test_the_card_says_what_matters_in_four_lines():
    day = Day()
    for weeks, nitrate in ((8, 20), (6, 35), (4, 50), (2, 65)):
        day.now -= timedelta(weeks=weeks)
        day.say("tomasz", f"quillow temp 78.4 ph 8.2 sg 1.0255 no3 {nitrate}")
        day.now += timedelta(minutes=40)
        day.say("tomasz", "quillow 20% wc")
        day.now += timedelta(weeks=weeks) - timedelta(minutes=40)
    day.say("petra", "todo quillow: replace carbon")
    said = day.say("tomasz", "here quillow").splitlines()
    assert said[0] == "Quillow lobby · 14 days since last · 40 min planned"
    assert said[1].startswith("Last: ") and "NO3 65 mg/L" in said[1]
    assert said[2].startswith("Watch: NO3") and said[3] == "Next: replace carbon"


def test_a_fifth_line_shares_a_line_with_its_neighbour():
    noted = CREW | {"tanks": [CREW["tanks"][0] | {"notes": "Socket behind the plinth."}]}
    day = Day(noted)
    day.say("tomasz", "quillow return pump noisy")
    day.say("petra", "todo quillow: replace carbon")
    day.say("tomasz", "quillow ph 8.2")
    said = day.say("tomasz", "here quillow")
    assert len(said.splitlines()) <= 4
    assert all(words in said for words in ("Socket", "noisy", "replace carbon", "pH 8.2"))


def test_two_people_at_one_tank_hear_of_each_other_and_whose_job_is_whose():
    day = Day()
    day.say("tomasz", "here quillow")
    assert "Tomasz is here too" in day.say("ines", "here quillow")
    assert "told" in day.say("ines", "i've got the glass")
    told = [r[0] for r in day.db.conn.execute("select text from outbox where chat = 'tomasz' and unasked = 1")]
    assert told == ["Quillow lobby: Ines is here too", "Quillow lobby: Ines has the glass"]


def test_the_short_code_of_a_label_is_a_name():
    labelled = CREW | {"tanks": [CREW["tanks"][0] | {"label": "Q7"}]}
    assert Day(labelled).say("tomasz", "here Q7").startswith("Quillow lobby")


def test_not_here_puts_the_tank_down():
    day = Day()
    day.say("tomasz", "here quillow")
    assert "put down" in day.press("tomasz", "Not here")
    assert "which tank" in day.say("tomasz", "ph 8.2").lower()


def test_plan_and_history_are_one_press_away():
    day = Day()
    day.say("tomasz", "here quillow")
    assert day.press("tomasz", "Plan").startswith("Out ")
    assert outbox.labelled(day.db, "tomasz", "History")
