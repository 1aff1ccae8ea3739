"""The real library against a strict server over HTTP: what people send, and what they get."""

import pytest

from bot.store import inbox
from bot.store.database import open_database, rows
from bot.wording.strangers import NEUTRAL
from tests.doors.conftest import EVE, MARA
from tests.doors.running import Serving
from tests.loopback.server import Fault


def all_rows(path, table):
    db = open_database(path)
    try:
        return rows(db, f"select * from {table} order by id")
    finally:
        db.close()


def texts(server, chat=None):
    return [sent.text for sent in server.sent(chat)]


def test_a_text_is_answered_and_the_answer_carries_its_buttons(server, serving, ana):
    server.say(ana, "ph 8.2 <0.25 & more")
    serving.start()
    [sent] = server.until_sent(1)
    assert sent.text.startswith("read | ph 8.2 <0.25 & more | who=ana | chat=ana")
    assert [label for label, _ in sent.buttons] == ["Undo", "Keep"]
    assert sent.silent and sent.reply_to is not None
    assert serving.stop() == 0
    assert server.waiting() == 0
    assert not server.service.violations


def test_the_menu_and_the_mode_are_set_at_the_start(server, serving, ana):
    serving.start()
    server.until(lambda s: s.calls("getUpdates"))
    assert "undo" in [each["command"] for each in server.service.commands]
    assert server.calls("deleteWebhook")


def test_edits_replies_and_presses_reach_the_desk_as_what_they_are(server, serving, ana):
    first = server.say(ana, "ph 8.2")
    serving.start()
    [sent] = server.until_sent(1)
    server.edit(first, "ph 8.0")
    assert server.until_sent(2)[1].text.startswith("edited | ph 8.0")
    server.reply(ana, sent, "7.9")
    assert f"reply_to=11:{sent.message_id}" in server.until_sent(3)[2].text
    server.press(ana, sent, "Undo")
    assert server.until_sent(4)[3].text == f"pressed {sent.buttons[0][1]}"
    assert len(server.service.answered) == 1


def test_a_repeated_delivery_is_worked_off_once(server, serving, path, ana):
    update = server.say(ana, "one")
    serving.start()
    server.until_sent(1)
    server.repeat(update)
    server.say(ana, "two")
    server.until_sent(2)
    serving.stop()
    assert [row["text"] for row in all_rows(path, "message") if row["kind"] == "said"] == ["one", "two"]
    assert len(server.sent()) == 2


def test_a_topic_of_a_group_is_kept(server, serving, ana):
    team = server.group(-1005, topics=[42])
    server.say(ana, "@pail_bot ph 8.2", team, topic=42)
    serving.start()
    [sent] = server.until_sent(1, team)
    assert sent.topic == 42 and "chat=-1005 | topic=42 | group=True" in sent.text


def test_a_topic_that_is_gone_does_not_swallow_the_answer(server, serving, ana):
    team = server.group(-1005, topics=[])
    server.say(ana, "ph 8.2", team, topic=42)
    serving.start()
    assert server.until_sent(1, team)[0].topic is None


def test_a_group_that_moved_gets_its_answer_under_the_new_number(server, serving, ana):
    old, new = server.group(-5), server.group(-1005)
    server.say(ana, "ph 8.2", old)
    server.service.moved[old] = new
    serving.start()
    assert "chat=-5" in server.until_sent(1, new)[0].text
    server.say(ana, "ph 8.1", new)
    assert "chat=-5" in server.until_sent(2, new)[1].text


def test_photos_and_documents_are_fetched_under_names_of_our_own(server, serving, path, ana):
    server.photo(ana, b"picture", "strip")
    server.document(ana, b"a,b\n", "../../../etc/cron.d/evil.csv")
    serving.start()
    server.until_sent(2)
    serving.stop()
    kept = sorted(p for p in path.with_name("team.db.files").rglob("*") if p.is_file())
    assert [p.read_bytes() for p in kept] == [b"picture", b"a,b\n"]
    assert [p.name for p in kept] == ["1-photo.jpg", "2-evil.csv"]
    messages = [row for row in all_rows(path, "message") if row["kind"] == "said"]
    assert [row["text"] for row in messages] == ["strip", ""]
    assert (messages[0]["photo"], messages[1]["file"]) == (str(kept[0]), str(kept[1]))


def test_a_document_too_large_is_refused_in_words_and_not_fetched(server, serving, ana):
    server.document(ana, b"x", "year.csv", size=21_000_000)
    serving.start()
    assert server.until_sent(1)[0].text.startswith("year.csv has 21 MB; I can fetch 20 MB at most")
    assert not server.calls("getFile")


def test_a_kind_nobody_reads_is_named(server, serving, ana):
    server.send(ana, video={"file_id": "v", "file_unique_id": "uv", "duration": 3})
    serving.start()
    assert "cannot read a video" in server.until_sent(1)[0].text


def test_a_message_that_breaks_the_desk_is_set_aside_and_its_sender_told(server, serving, path, ana):
    server.say(ana, "fail please")
    server.say(ana, "next")
    serving.start()
    told = server.until_sent(2)
    assert "nothing of it is stored" in told[0].text and told[1].text.startswith("read | next")
    serving.stop()
    first, second = all_rows(path, "inbox")
    assert "asked to fail" in first["error"] and second["error"] is None
    assert "fail please" in first["raw"]


def test_an_update_that_nobody_can_build_blocks_nothing(server, serving, path, ana):
    broken = server.say(ana, "no date")
    del broken["message"]["date"]
    server.do(lambda s: s.updates.append({"update_id": broken["update_id"] + 500}))
    server.do(lambda s: s.updates.append({"no": "number"}))
    serving.start()
    server.until_sent(1)
    server.until(lambda s: len(s.calls("getUpdates")) > 3)
    polls = len(server.calls("getUpdates"))
    assert polls < 20
    serving.stop()
    assert "KeyError" in all_rows(path, "inbox")[0]["error"]


def test_a_ping_comes_when_due_with_a_sound(server, serving, path, ana):
    server.say(ana, "ping in 0.7")
    serving.start()
    answered, ping = server.until_sent(2)
    assert ping.text == "OUT NOW ping in 0.7" and not ping.silent and answered.silent
    assert ping.at >= all_rows(path, "wait")[0]["due_at"]


def test_what_came_due_while_away_is_told_at_the_start(server, serving, ana):
    server.say(ana, "ping in 1")
    serving.start()
    server.until_sent(1)
    serving.kill()
    serving.start()
    server.until(lambda s: "OUT NOW ping in 1" in texts(s))


def test_each_chat_is_answered_in_order_and_none_waits_for_another(server, serving, ana):
    mara = server.person(MARA, "Mara")
    for number in range(300):
        server.say(ana, f"a{number}")
    server.say(mara, "only one")
    serving.start()
    server.until_sent(300, ana["id"])
    order = [sent.text.split(" | ")[1] for sent in server.sent()]
    assert [text for text in order if text.startswith("a")] == [f"a{n}" for n in range(300)]
    assert order.index("only one") < 150


@pytest.mark.parametrize(
    "fault",
    [
        Fault("status", 500),
        Fault("status", 502),
        Fault("status", 429, retry_after=1, description="Too Many Requests: retry after 1"),
        Fault("drop_before"),
        Fault("garbage"),
        Fault("status", 401, description="Unauthorized"),
    ],
    ids=lambda f: f"{f.kind} {f.status}",
)
def test_an_answer_survives_a_fault_of_the_service(server, serving, ana, fault):
    server.fail("sendMessage", fault, times=2)
    server.say(ana, "ph 8.2")
    serving.start()
    server.until_sent(1)
    serving.stop()
    assert len(server.sent()) == 1


def test_an_answer_that_was_taken_but_not_confirmed_comes_twice_at_most(server, serving, path, ana):
    server.fail("sendMessage", Fault("drop_after"))
    server.say(ana, "ph 8.2")
    serving.start()
    server.until_sent(2)
    serving.stop()
    assert len(server.sent()) == 2
    assert len([row for row in all_rows(path, "message") if row["kind"] == "said"]) == 1


def test_too_many_requests_in_one_chat_hold_up_no_other(server, serving, ana):
    mara = server.person(MARA, "Mara")
    server.fail("sendMessage", Fault("status", 429, retry_after=3, description="Too Many Requests"))
    server.say(ana, "first")
    server.say(mara, "second")
    serving.start()
    in_order = [sent.chat for sent in server.until_sent(2)]
    [refused] = [call for call in server.calls("sendMessage") if call.outcome == "fault 429"]
    assert str(in_order[1]) == str(refused.params["chat_id"])


def test_somebody_who_blocked_the_bot_is_parked_with_the_reason(server, serving, path, ana):
    server.service.blocked.add(ana["id"])
    server.say(ana, "ph 8.2")
    serving.start()
    server.until(lambda s: s.calls("sendMessage"))
    serving.stop()
    [row] = all_rows(path, "outbox")[-1:]
    assert "blocked" in row["parked"] and row["sent_at"] is None


@pytest.mark.parametrize("fault", [Fault("status", 401), Fault("status", 404), Fault("status", 409), Fault("garbage")])
def test_a_few_bad_answers_to_polls_leave_the_bot_listening(server, serving, ana, fault):
    serving.start()
    server.until(lambda s: s.calls("getUpdates"))
    server.fail("getUpdates", fault, times=3)
    server.say(ana, "still there?")
    server.until_sent(1)


def test_a_refused_token_ends_with_its_own_status_and_no_token_in_the_log(server, serving):
    server.fail("*", Fault("status", 401, description="Unauthorized"), times=50)
    serving.start()
    assert serving.wait() == 78
    assert "BUCKETBELL_TOKEN" in serving.log() and "loopback-token" not in serving.log()


def test_the_service_may_be_away_at_the_start(server, serving, ana):
    server.down = True
    server.say(ana, "waiting")
    serving.start()
    server.until(lambda s: "poll failed" in serving.log())
    server.down = False
    server.until_sent(1)


def test_a_second_process_on_the_same_file_is_refused(nursery, server, serving, path, tmp_path):
    serving.start()
    server.until(lambda s: s.calls("getUpdates"))
    second = Serving(nursery, server, path, tmp_path / "log2").start()
    assert second.wait() == 75
    assert "Another process already serves" in second.log()


def test_strangers_get_one_neutral_line_and_leave_no_words(server, serving, path):
    eve = server.person(EVE, "Eve")
    for words in ("secret words", "more secret words", "/start wrong-code-guess"):
        server.say(eve, words)
    server.photo(eve, b"secret picture")
    serving.start()
    server.until_sent(2, EVE)
    server.until(lambda s: not s.waiting())
    serving.stop()
    assert texts(server, EVE) == [
        NEUTRAL,
        "That code is not good, or no longer. Ask the person who gave it to you for a new one.",
    ]
    db = open_database(path)
    dump = "\n".join(db.conn.iterdump())
    assert not any(word in dump for word in ("secret", "Eve", "wrong-code-guess"))
    assert not inbox.open_updates(db)
    assert not path.with_name("team.db.files").exists()
