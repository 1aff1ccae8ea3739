"""Pings: each wait exactly once, those of one chat within three seconds together, late ones with their minutes."""

from __future__ import annotations

import re
from datetime import timedelta

from bot.assistant.desk import handle
from bot.assistant.due import next_moment
from bot.messages import Tick
from bot.store import outbox
from tests.assistant.team import Chat


def until(chat: Chat, minutes: float) -> list[tuple[float, str]]:
    """What is said unasked until then, with the minutes that have passed; every moment at its own time."""
    start, told = chat.now, []
    end = start + timedelta(minutes=minutes)
    while (moment := next_moment(chat.db)) is not None and moment <= end:
        handle(chat.db, Tick(moment))
        for row in outbox.unsent(chat.db, 1000):
            outbox.crossed_off(chat.db, row["id"], moment, ref=f"b{row['id']}")
            told.append(((moment - start).total_seconds() / 60, row["text"]))
    chat.now = end
    return told


def test_fifty_waits_over_at_once_are_all_told_once_in_one_message():
    chat = Chat()
    for number in range(50):
        chat.say("ana", f"buckets{number}x in thio 20 min at elm lobby")
    told = until(chat, 21)
    assert len(told) == 1
    assert len(told[0][1].splitlines()) == 51
    assert told[0][0] == 20


def test_two_seconds_apart_go_together_and_four_seconds_apart_do_not():
    chat = Chat()
    for seconds in (0, 2, 6):
        chat.now += timedelta(seconds=seconds)
        chat.say("ana", "let it settle 30 min at elm lobby")
    told = until(chat, 32)
    assert [text.count("Elm lobby") for _, text in told] == [2, 1]


def test_two_chats_are_pinged_apart():
    chat = Chat()
    chat.say("ana", "let it settle 30 min at elm lobby")
    chat.say("ben", "let it settle 30 min at fir bar")
    assert sorted(re.findall(r"Elm lobby|Fir bar", " ".join(t for _, t in until(chat, 31)))) == ["Elm lobby", "Fir bar"]


def test_a_ping_that_comes_late_says_by_how_much():
    chat = Chat()
    chat.say("ana", "nets in bleach 20 min at elm lobby")
    assert chat.wait(minutes=27)["ana"].startswith("OUT NOW, 7 min over, Elm lobby: nets in bleach")


def test_a_ping_never_comes_before_its_time():
    chat = Chat()
    chat.say("ana", "nets in bleach 20 min at elm lobby")
    assert chat.wait(minutes=19, seconds=59) == {}
    assert list(chat.wait(seconds=1)) == ["ana"]


def test_a_clock_that_jumps_back_pings_when_the_time_has_really_come():
    chat = Chat()
    chat.say("ana", "nets in bleach 20 min at elm lobby")
    handle(chat.db, Tick(chat.now - timedelta(hours=1)))
    assert outbox.unsent(chat.db) == []
    assert list(chat.wait(minutes=20)) == ["ana"]


def test_a_clock_that_jumps_forward_pings_at_once():
    chat = Chat()
    chat.say("ana", "nets in bleach 20 min at elm lobby")
    assert chat.wait(hours=3)["ana"].startswith("OUT NOW, 160 min over")
