"""The group: quotes where something is stored, one summary a visit in the tank's topic, private things never."""

from __future__ import annotations

from typing import Any

import pytest

from bot.assistant.desk import handle
from bot.messages import Incoming
from bot.store import outbox
from tests.assistant.crew import CREW, Day

GROUPED = CREW | {
    "group": "team",
    "topics": {"today": "12"},
    "tanks": [t | {"topic": str(20 + i)} for i, t in enumerate(CREW["tanks"])],
}


class Grouped(Day):
    """A day of the crew that also writes in its group."""

    def __init__(self, team: dict[str, Any] | None = None) -> None:
        super().__init__(team or GROUPED)

    def write(self, who: str, text: str, topic: str | None = None) -> list[tuple[str, str | None, str, bool]]:
        """All that the bot says on a message in the group: chat, topic, words, whether it makes a sound."""
        self.count += 1
        handle(self.db, Incoming(self.now, who, "team", text, f"g{self.count}", topic=topic, group=True))
        return self.heard()

    def heard(self) -> list[tuple[str, str | None, str, bool]]:
        found = outbox.unsent(self.db, 1000)
        for row in found:
            outbox.crossed_off(self.db, row["id"], self.now, ref=f"b{row['id']}")
        return [(r["chat"], r["topic"], r["text"], bool(r["sound"])) for r in found]


def test_in_a_tanks_topic_no_tank_needs_a_name_and_the_quote_is_silent():
    (said,) = Grouped().write("tomasz", "ph 8.2 sg 1.0255", "20")
    assert said == ("team", "20", "Quillow lobby 07:00: pH 8.2 · SG 1.0255", False)


def test_without_a_topic_nothing_is_in_hand_whoever_wrote_before():
    day = Grouped()
    day.write("tomasz", "quillow ph 8.2")
    (said,) = day.write("ines", "ph 8.1")
    assert said[0] == "ines" and "which tank" in said[2]
    assert len(day.in_force()) == 1


def test_talk_among_colleagues_is_left_alone():
    day = Grouped()
    assert day.write("tomasz", "what a morning, coffee anyone?", "20") == []
    assert day.write("ines", "lol") == []


@pytest.mark.parametrize("text", ["ph 82", "blorp ph 82", "quillow temp 780"])
def test_a_slip_is_asked_about_in_private(text):
    assert {chat for chat, *_ in Grouped().write("tomasz", text, "20")} == {"tomasz"}


@pytest.mark.parametrize(
    "text",
    ["undo", "code quillow", "billing march", "today", "plan", "quillow 85 a visit", "this month", "what is a drip"],
)
def test_private_things_are_answered_in_private(text):
    day = Grouped()
    day.write("petra", "quillow ph 8.2")
    assert {chat for chat, *_ in day.write("petra", text)} <= {"petra"}


def test_somebody_who_learns_is_never_shown_up():
    assert {chat for chat, *_ in Grouped().write("kofi", "bot what is a drip", "20")} == {"kofi"}


def test_addressed_it_answers_there():
    day = Grouped()
    ((chat, topic, words, _),) = day.write("ines", "bot, how much salt for 40 litres to 1.025", "20")
    assert (chat, topic) == ("team", "20") and words.startswith("salt: 13")


def test_a_pressing_warning_is_heard_by_all():
    day = Grouped()
    day.write("ines", "dosed alk 20 ml", "20")
    said = day.write("tomasz", "dosed alk 20 ml", "20")
    assert any(chat == "team" and words.startswith("STOP") for chat, _, words, _ in said)


def test_a_visit_leaves_one_summary_with_both_names_when_the_last_one_goes():
    day = Grouped()
    day.write("tomasz", "78.4 ph 8.2 sg 1.0255", "20")
    day.say("ines", "here quillow")
    day.wait(minutes=20)
    day.write("ines", "20% wc, glass", "20")
    day.write("tomasz", "alk 8.3 no3 12", "20")
    day.say("tomasz", "leaving")
    assert summaries(day) == []
    day.say("ines", "leaving")
    (said,) = summaries(day)
    assert said.startswith("Quillow lobby Tue 07:00 to 07:20, ") and "Tomasz" in said and "Ines" in said
    assert "water change 20 %" in said and "NO3 12 mg/L" in said
    day.say("ines", "leaving")
    assert len(summaries(day)) == 1


def test_the_summary_holds_no_doubts_no_overrides_and_no_notes():
    day = Grouped()
    day.say("tomasz", "quillow ph 8.2 temp 78")
    day.say("tomasz", "note client was rude about the smell")
    day.say("tomasz", "leaving")
    (said,) = summaries(day)
    assert "rude" not in said and "override" not in said.lower()


def test_changes_of_the_day_stand_in_their_topic_without_a_word_of_why():
    day = Grouped()
    day.say("petra", "tomasz is sick today")
    assert [r for r in outbox_rows(day) if r["chat"] == "team"] == []
    day.press("petra", "Do it")
    (told,) = [r for r in outbox_rows(day) if r["chat"] == "team"]
    assert told["topic"] == "12" and told["text"].startswith("Changed: ") and "sick" not in told["text"]


def test_a_topic_becomes_a_tanks_by_a_word_in_it():
    day = Grouped(CREW)
    assert "this topic is Quillow lobby" in day.write("petra", "topic quillow", "31")[0][2]
    assert day.write("ines", "ph 8.2", "31")[0][:2] == ("team", "31")
    assert "in the team's group" in day.say("petra", "topic quillow")


def outbox_rows(day: Day) -> list[dict[str, Any]]:
    cursor = day.db.conn.execute("select chat, topic, text, unasked from outbox order by id")
    return [dict(row) for row in cursor]


def summaries(day: Day) -> list[str]:
    return [r["text"] for r in outbox_rows(day) if r["chat"] == "team" and r["unasked"]]
