"""A picture on its way through the chat service: shown as coming, drawn beside the loop, sent with its words."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.messages import Incoming
from bot.store.database import open_database, writing
from tests.doors.conftest import ANA
from tests.doors.running import Serving, set_up

TEAM = {
    "name": "t",
    "people": [{"name": "ana", "role": "technician"}, {"name": "mara", "role": "owner"}],
    "tanks": [{"name": "Oak lobby", "kind": "reef", "client": "Oak House"}],
    "clients": [{"name": "Oak House"}],
}


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "team.db"
    set_up(path, {"ana": ANA}, TEAM)
    from bot.assistant.desk import handle

    db, now = open_database(path), datetime.now(UTC)
    for n in range(8):
        handle(db, Incoming(now - timedelta(days=80 - 10 * n), "ana", "ana", f"oak lobby no3 {6 + n % 3}", f"m{n}"))
    with writing(db):
        db.conn.execute("update outbox set sent_at = created_at")
    db.close()
    return path


@pytest.fixture
def serving(nursery, server, path, tmp_path):
    running = Serving(nursery, server, path, tmp_path / "log", desk="real")
    yield running
    if running.is_running():
        running.kill()
    print(running.log()[-6000:])


def test_a_plot_comes_with_its_words_as_caption_while_the_chat_shows_that_something_comes(server, serving, ana):
    server.say(ana, "plot no3 oak lobby")
    serving.start()
    sent = server.until(lambda s: [m for m in s.sent() if m.file])[-1]
    assert sent.kind == "photo" and sent.file.content.startswith(b"\x89PNG")
    assert sent.text.startswith("Oak lobby, NO3:")
    assert [call.params["action"] for call in server.calls("sendChatAction")] == ["upload_photo"]
    assert not server.service.violations
    assert serving.stop() == 0


def test_other_messages_are_answered_while_a_page_is_drawn(server, serving, ana):
    """A page of all labels takes longest; a reading sent right behind it is not kept waiting by the drawing."""
    serving.start()
    server.say(ana, "tank card oak lobby")
    server.say(ana, "oak lobby ph 8.2")
    server.until(lambda s: len(s.sent()) >= 2)
    page, reading = sorted(server.sent(), key=lambda m: m.file is None)
    assert page.kind == "document" and page.file.name.endswith(".pdf")
    assert "pH 8.2" in reading.text


def test_a_label_knows_the_address_of_the_bot(server, serving, path, ana):
    import re

    import pypdfium2
    import zxingcpp

    server.say(ana, "label oak lobby")
    serving.start()
    sent = server.until(lambda s: [m for m in s.sent() if m.file])[-1]
    image = pypdfium2.PdfDocument(sent.file.content)[0].render(scale=2).to_pil()
    [code] = zxingcpp.read_barcodes(image)
    assert re.fullmatch(r"https://t\.me/\w+\?start=[a-z]{14}", code.text)
    server.say(ana, f"/start {code.text.partition('=')[2]}")
    server.until(lambda s: any(m.text.startswith("Oak lobby ·") for m in s.sent()))
