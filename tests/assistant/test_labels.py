"""Labels: printed, read by another library's eye, and what a scan then opens."""

import re

import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from bot.assistant.drawn import drawn
from bot.store.roster import load_team
from tests.assistant.team import TEAM, Chat

LINK = "https://chat.example/round?start="


@pytest.fixture
def chat():
    return Chat(TEAM | {"link": LINK, "tanks": [*TEAM["tanks"], {"name": "Łódź Außenstelle"}]})


def sheet_of(chat, who, text):
    """The first page of what is printed, as a camera would see it: 150 dots an inch."""
    said = chat.say(who, text)
    row = chat.db.conn.execute("select files from outbox where files <> '[]' order by id desc limit 1").fetchone()
    name = re.findall(r"drawn/[a-z]+-\d+\.pdf", row[0])[0]
    page = pypdfium2.PdfDocument(drawn(chat.db, name))[0]
    return said, page.render(scale=150 / 72).to_pil().convert("L")


def codes_in(image):
    return {found.text for found in zxingcpp.read_barcodes(image)}


def tokens_in(image):
    return [text.removeprefix(LINK) for text in codes_in(image) if text.startswith(LINK)]


def test_each_code_on_the_sheet_leads_to_its_own_tank(chat):
    _, image = sheet_of(chat, "cleo", "labels")
    tokens = tokens_in(image)
    assert len(tokens) == 3
    opened = {chat.say("ana", f"/start {token}").partition(" · ")[0] for token in tokens}
    assert opened == {"Elm lobby", "Fir bar", "Łódź Außenstelle"}


def test_a_scan_puts_the_tank_in_hand(chat):
    _, image = sheet_of(chat, "cleo", "label elm lobby")
    [token] = tokens_in(image)
    chat.say("ana", f"/start {token}")
    assert chat.say("ana", "ph 8.2").startswith("Elm lobby")


def test_the_printed_code_can_be_typed(chat):
    said, _ = sheet_of(chat, "cleo", "label elm lobby")
    code = re.search(r"label ([A-Z]\d+)", said)[1]
    assert chat.say("ana", f"here {code}").startswith("Elm lobby")


def test_no_name_of_anything_stands_in_a_token(chat):
    _, image = sheet_of(chat, "cleo", "labels")
    assert all(re.fullmatch("[a-z]{14}", token) for token in tokens_in(image))
    assert not any(word in token for token in tokens_in(image) for word in ("elm", "lobby", "fir", "lodz"))


def test_a_reissued_label_opens_the_tank_and_the_lost_one_nothing(chat):
    _, old = sheet_of(chat, "cleo", "label elm lobby")
    _, new = sheet_of(chat, "cleo", "lost label elm lobby")
    [lost], [found] = tokens_in(old), tokens_in(new)
    assert (
        chat.say("ana", f"/start {lost}")
        == "That label is no longer in use. Type: here and the tank's name; the office prints a new one."
    )
    assert chat.say("ana", f"/start {found}").startswith("Elm lobby")


def test_undo_takes_a_label_back(chat):
    chat.say("cleo", "label elm lobby")
    chat.press("cleo", "Undo")
    assert "label_token" not in load_team(chat.db).tank("Elm lobby").data


def test_a_tool_and_a_vat_are_told_by_their_codes(chat):
    _, image = sheet_of(chat, "cleo", "net labels 3")
    assert len(tokens_in(image)) == 3
    chat.say("ana", "elm lobby net 3 in bleach 30 min")
    answers = [chat.say("ana", f"/start {token}") for token in tokens_in(image)]
    assert any("net 3" in answer and "Elm lobby" in answer for answer in answers)
    _, image = sheet_of(chat, "cleo", "vat labels")
    [token] = tokens_in(image)
    assert chat.say("ana", f"/start {token}").startswith("Vat 1: salt water, 100 gal")


def test_without_a_known_address_the_code_says_what_to_type():
    chat = Chat(TEAM)
    _, image = sheet_of(chat, "cleo", "label elm lobby")
    [text] = codes_in(image)
    assert re.fullmatch(r"here [A-Z]\d+", text)


@pytest.mark.parametrize("spoilt", ("blurred", "dim", "drop of water", "small"))
def test_a_code_is_read_in_a_cabinet(chat, spoilt):
    _, image = sheet_of(chat, "cleo", "label elm lobby")
    assert tokens_in(_SPOILT[spoilt](image))


def _drop(image):
    """A tenth of the code's width hidden, at its edge of data, not on a corner mark."""
    spoilt = image.copy()
    ImageDraw.Draw(spoilt).ellipse((190, 210, 225, 245), fill=120)
    return spoilt.filter(ImageFilter.GaussianBlur(1))


_SPOILT = {
    "blurred": lambda image: image.filter(ImageFilter.GaussianBlur(2)),
    "dim": lambda image: image.point(lambda value: 40 + value // 4),
    "drop of water": _drop,
    "small": lambda image: image.resize((image.width * 2 // 5, image.height * 2 // 5), Image.Resampling.LANCZOS),
}
