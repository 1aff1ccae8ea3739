"""Raw updates, written from the published description of the service's interface (objects Update, Message ...)."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.doors.translate import arrival, chat_number, happening, start_payload
from bot.messages import Edited, Incoming, Pressed

NOW = datetime(2026, 3, 2, 14, 0, tzinfo=UTC)
ANA = {"id": 11, "is_bot": False, "first_name": "Ana"}
PRIVATE = {"id": 11, "type": "private", "first_name": "Ana"}
GROUP = {"id": -1005, "type": "supergroup", "title": "Team", "is_forum": True}


def message(chat=PRIVATE, sender=ANA, **more):
    return {"message_id": 7, "date": int(NOW.timestamp()), "chat": chat, "from": sender} | more


def of(**more):
    return arrival({"update_id": 1, "message": message(**more)}, "pail_bot")


def test_a_text_says_who_where_and_what():
    found = happening(of(text="ph 8.2"), "ana", "ana", NOW)
    assert found == Incoming(NOW, "ana", "ana", "ph 8.2", "11:7")


def test_a_message_long_on_its_way_carries_when_the_service_got_it():
    late = happening(of(text="x"), "ana", "ana", NOW + timedelta(minutes=20))
    assert late.sent_at == NOW and late.at == NOW + timedelta(minutes=20)
    assert happening(of(text="x"), "ana", "ana", NOW + timedelta(seconds=2)).sent_at is None


def test_an_edit_is_its_own_happening_under_the_same_reference():
    found = arrival({"update_id": 1, "edited_message": message(text="ph 8.0", edit_date=1)}, "pail_bot")
    assert happening(found, "ana", "ana", NOW) == Edited(NOW, "ana", "ana", "ph 8.0", "11:7")


@pytest.mark.parametrize("stub", [{"date": 0}, {"date": 5, "text": "old"}])
def test_a_press_works_under_a_message_that_is_no_longer_accessible(stub):
    query = {"id": "9", "from": ANA, "chat_instance": "x", "data": "w12:0", "message": message() | stub}
    found = arrival({"update_id": 1, "callback_query": query}, "pail_bot")
    assert happening(found, "ana", "ana", NOW) == Pressed(NOW, "ana", "ana", "w12:0", "11:7")
    assert found.query == "9"


def test_a_reply_names_its_target_and_a_topic_is_kept():
    found = of(
        chat=GROUP, text="8.2", reply_to_message=message(chat=GROUP), message_thread_id=42, is_topic_message=True
    )
    assert (found.reply_to, found.topic, found.private) == ("-1005:7", "42", False)
    assert happening(found, "ana", "-1005", NOW).group


def test_the_first_message_of_a_topic_replies_to_nothing():
    opened = message(chat=GROUP, forum_topic_created={"name": "Oak"})
    assert of(chat=GROUP, text="8.2", reply_to_message=opened).reply_to is None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("/undo", "undo"),
        ("/UNDO@Pail_Bot", "UNDO"),
        ("/stop@pail_bot 3", "stop 3"),
        ("/start", "/start"),
        ("/start abc", "/start abc"),
        ("@pail_bot ph 8.2", "ph 8.2"),
        ("ph 8.2 @PAIL_BOT", "ph 8.2"),
        ("sg 1.025 / 78F", "sg 1.025 / 78F"),
        ("/whats_running", "whats running"),
    ],
)
def test_shortcuts_and_mentions_become_plain_words(typed, meant):
    assert of(text=typed).text == meant


def test_a_command_to_another_bot_is_none_of_ours():
    assert of(chat=GROUP, text="/undo@other_bot") is None


def test_the_largest_size_of_a_photo_is_taken_with_its_caption():
    sizes = [
        {"file_id": "s", "file_unique_id": "us", "width": 90, "height": 60, "file_size": 900},
        {"file_id": "l", "file_unique_id": "ul", "width": 1280, "height": 960, "file_size": 90_000},
    ]
    found = of(photo=sizes, caption="strip after rinse")
    assert (found.attachment.file_id, found.attachment.is_photo, found.text) == ("l", True, "strip after rinse")


def test_a_document_keeps_its_name_and_size():
    found = of(document={"file_id": "d", "file_unique_id": "ud", "file_name": "old-log.csv", "file_size": 12})
    assert (found.attachment.name, found.attachment.size, found.attachment.is_photo) == ("old-log.csv", 12, False)


def test_what_cannot_be_read_is_named():
    assert of(sticker={"file_id": "v", "file_unique_id": "uv"}).unread == "a sticker"


def test_a_voice_note_is_fetched_like_a_document():
    found = of(voice={"file_id": "v", "file_unique_id": "uv", "duration": 3, "file_size": 900})
    assert (found.attachment.file_id, found.attachment.is_voice, found.unread) == ("v", True, None)


@pytest.mark.parametrize(
    "more",
    [
        {"new_chat_members": [ANA]},
        {"pinned_message": {}},
        {"forum_topic_created": {"name": "Oak"}},
        {"text": "hello", "sender": ANA | {"is_bot": True}},
    ],
)
def test_service_messages_and_other_bots_are_nothing_to_answer(more):
    assert of(**more) is None


def test_a_group_that_moved_says_its_new_number():
    found = of(chat={"id": -5, "type": "group"}, migrate_to_chat_id=-1005)
    assert (found.kind, found.chat, found.text) == ("moved", "-5", "-1005")


@pytest.mark.parametrize("number", [False, 0, 5, "x", None])
def test_a_group_moves_to_no_number_but_a_groups(number):
    with pytest.raises(ValueError):
        of(chat={"id": -5, "type": "group"}, migrate_to_chat_id=number)


def test_a_private_chat_moves_nowhere():
    assert getattr(of(migrate_to_chat_id=-1005), "kind", None) != "moved"


@pytest.mark.parametrize("other", [{"my_chat_member": {}}, {"channel_post": {"text": "x"}}, {}])
def test_other_updates_are_nothing_to_answer(other):
    assert arrival({"update_id": 1} | other, "pail_bot") is None


def test_a_message_without_a_date_is_refused_with_an_error():
    broken = message(text="x")
    del broken["date"]
    with pytest.raises(KeyError):
        arrival({"update_id": 1, "message": broken}, "pail_bot")


@pytest.mark.parametrize("junk", [{"message": 5}, {"message": {"chat": 5}}, {"callback_query": {"message": []}}, {}])
def test_the_chat_of_any_junk_can_be_asked_for(junk):
    assert chat_number(junk) == ""


def test_a_start_carries_one_word():
    assert start_payload("/start abc_-9") == "abc_-9"
    assert start_payload("/start") is None and start_payload("/start " + "x" * 65) is None
