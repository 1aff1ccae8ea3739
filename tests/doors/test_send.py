"""A message as calls, checked by the rules of the strict server; and what the service's errors mean."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from telegram.error import BadRequest, ChatMigrated, Forbidden, NetworkError, RetryAfter, TimedOut

from bot.doors.send import calls, length, split, verdict
from bot.messages import Button, Outgoing
from tests.loopback import rules

texts = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "S", "Zs", "Cc"]), max_size=300)


def test_a_short_message_is_one_call_without_a_sound_unless_it_is_asked_for():
    [call] = calls(Outgoing("ana", "ph 8.2"), "11")
    assert (call.method, call.params["chat_id"], call.params["disable_notification"]) == ("sendMessage", 11, True)
    [call] = calls(Outgoing("ana", "OUT NOW", sound=True), "11")
    assert call.params["disable_notification"] is False


def test_words_are_sent_as_they_are_with_no_markup_to_break():
    [call] = calls(Outgoing("ana", "nitrite <0.25 & <b>"), "11")
    assert call.params["text"] == "nitrite <0.25 & <b>" and "parse_mode" not in call.params


def test_only_the_tank_in_the_first_line_is_bold_counted_as_the_service_counts():
    [call] = calls(Outgoing("ana", "🐠 Oak lobby 08:41: pH 8.2\nOak lobby again"), "11", ["Oak", "Oak lobby"])
    assert call.params["entities"] == [{"type": "bold", "offset": 3, "length": 9}]
    assert rules.check_text(call.params["text"], call.params, 4096)


def test_a_long_text_is_split_at_a_line_end_and_its_buttons_stand_under_the_last_part():
    lines = [f"line {n} " + "x" * 90 for n in range(100)]
    parts = calls(Outgoing("ana", "\n".join(lines), (Button("Undo", "u:1"),)), "11")
    assert len(parts) == 3 and "\n".join(p.params["text"] for p in parts) == "\n".join(lines)
    assert ["reply_markup" in p.params for p in parts] == [False, False, True]


@settings(max_examples=60)
@given(texts, st.integers(2, 40))
def test_no_part_is_too_long_and_nothing_but_blanks_at_the_cuts_is_lost(text, most):
    parts = split(text, most)
    assert all(0 < length(part) <= most for part in parts)
    assert "".join("".join(parts).split()) == "".join(text.split())


def test_four_buttons_become_two_rows_and_one_too_long_is_left_out():
    buttons = (*(Button(f"B{n}", f"b:{n}") for n in range(4)), Button("Bad", "é" * 40))
    [call] = calls(Outgoing("ana", "?", buttons), "11")
    assert [len(row) for row in call.params["reply_markup"]["inline_keyboard"]] == [3, 1]
    assert rules.check_keyboard(call.params["reply_markup"])


def test_a_picture_with_few_words_carries_them_as_its_caption(tmp_path):
    (tmp_path / "plot.png").write_bytes(b"x")
    [call] = calls(Outgoing("ana", "no3, 6 months", (Button("More", "m"),), (str(tmp_path / "plot.png"),)), "11")
    assert (call.method, call.kind, call.params["caption"]) == ("sendPhoto", "photo", "no3, 6 months")
    assert "reply_markup" in call.params


def test_many_words_or_files_go_words_first(tmp_path):
    for name in ("a.csv", "b.png"):
        (tmp_path / name).write_bytes(b"x")
    files = (str(tmp_path / "a.csv"), str(tmp_path / "b.png"))
    assert [c.method for c in calls(Outgoing("ana", "two", files=files), "11")] == [
        "sendMessage",
        "sendDocument",
        "sendPhoto",
    ]
    long = calls(Outgoing("ana", "y" * 1100, files=files[:1]), "11")
    assert [c.method for c in long] == ["sendMessage", "sendDocument"]


def test_topic_and_reply_are_said_to_the_service():
    [call] = calls(Outgoing("-5", "x", topic="42", reply_to="-5:7"), "-1005")
    assert call.params["message_thread_id"] == 42
    assert call.params["reply_parameters"] == {"message_id": 7, "allow_sending_without_reply": True}


@pytest.mark.parametrize(
    ("error", "what"),
    [
        (RetryAfter(7), "again"),
        (NetworkError("Bad Gateway"), "again"),
        (TimedOut(), "again"),
        (ChatMigrated(-1005), "moved"),
        (BadRequest("Message is not modified"), "delivered"),
        (BadRequest("Message thread not found"), "topic"),
        (BadRequest("Chat not found"), "park"),
        (Forbidden("bot was blocked by the user"), "park"),
        (NetworkError("Request Entity Too Large (413)"), "park"),
        (FileNotFoundError("gone.png"), "park"),
    ],
    ids=lambda x: str(x),
)
def test_each_error_of_the_service_means_one_thing(error, what):
    assert verdict(error).what == what


def test_the_service_says_itself_how_long_to_wait():
    assert verdict(RetryAfter(7)).seconds == 7
    assert verdict(TimedOut()).seconds is None
