"""Pages read back by another library: letters embedded, accents and long names whole, as many pages as needed."""

from datetime import UTC, datetime, timedelta
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from bot.facts.load import table
from bot.rules.plots import Point, Row, Strip
from bot.rules.report import Deed, Number, Report
from bot.wording import report as report_words
from bot.wording.papers import bleach, card, labels, report, sheet, sign, year
from bot.wording.papers.page import SIZES

AT = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)
LONG = "Łódź Königliche Außenstelle São João, Señor Ibáñez’ Rundbecken № 12 – Foyer (½ m³ ≥ 20 °C)"
GREEK, CYRILLIC = "Ευρυάλη", "Журавлёв"
POINTS = tuple(Point(AT - timedelta(days=n), 8 + n % 3) for n in range(60, 0, -7))
STRIP = Strip("Oak", AT - timedelta(days=182), AT, (Row("nitrate", "mg/L", POINTS, (8, 10), (1, 12)),), (AT,))


def made_report():
    numbers = (Number("temperature", 78.4, "degF", LONG, True), Number("nitrate", 12, "mg/L", LONG, False))
    deeds = (Deed("{share} of the water changed", LONG, 0.2), Deed("glass cleaned", LONG))
    found = Report(f"{LONG} GmbH", (LONG,), AT, AT + timedelta(minutes=42), ("zoë",), numbers, deeds, next="2026-03-24")
    return report_words.lines(found, "555-0100", {"please": f"{GREEK}, {CYRILLIC}: one pinch a day"})


def pages_of(content):
    return [page.extract_text() for page in PdfReader(BytesIO(content)).pages]


def plain(text):
    return " ".join(text.split())


def fonts_of(content):
    """Each font of a page, and whether its letters are in the file."""
    found = {}
    for page in PdfReader(BytesIO(content)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            inner = font.get_object()
            descendant = inner["/DescendantFonts"][0].get_object() if "/DescendantFonts" in inner else inner
            found[inner["/BaseFont"]] = "/FontFile2" in descendant["/FontDescriptor"].get_object()
    return found


MADE = {
    "report": lambda: report.pdf(made_report(), report.Extras("Ærø Akvarier", "a4", AT, plot=STRIP)),
    "labels": lambda: labels.tanks(
        [labels.Label(f"{LONG} {n}", GREEK, f"Q{n}", "95 gal", f"l{n}") for n in range(9)], "a4", AT
    ),
    "tools": lambda: labels.tools([labels.Tool(f"net {n}", f"l{n}") for n in range(22)], "letter", AT),
    "card": lambda: card.pdf(
        [card.Card(LONG, "Q7", [("Water", LONG), ("Kind", CYRILLIC)], ["heater", "pump"], "Desk")], AT, "printed"
    ),
    "sign": lambda: sign.pdf(sign.Sign("DO NOT SWITCH ON", f"Off until 12:30. {LONG}", "Zoë", LONG), "letter", AT),
    "sheet": lambda: sheet.pdf([sheet.Visit(LONG, "Q7", ["pH", "alk", "NO3"]), sheet.Visit("Oak", "", [])], "a4", AT),
    "bleach": lambda: bleach.pdf({"Strength": "200 mg/L", "Made by": "Zoë"}, "letter", AT),
    "year": lambda: year.pdf(
        LONG, "14 visits", [year.TankPage(LONG, STRIP, [("Water", LONG)], [])] * 3, "Ærø", "a4", AT
    ),
}  # fmt: skip
COUNTS = {"report": 1, "labels": 2, "tools": 2, "card": 1, "sign": 1, "sheet": 2, "bleach": 1, "year": 3}


@pytest.mark.parametrize("kind", MADE)
def test_letters_are_embedded_and_pages_counted(kind):
    content = MADE[kind]()
    assert fonts_of(content) and all(fonts_of(content).values())
    assert len(pages_of(content)) == COUNTS[kind]


@pytest.mark.parametrize("kind", MADE)
def test_the_same_page_is_the_same_bytes(kind):
    assert MADE[kind]() == MADE[kind]()


@pytest.mark.parametrize("kind", ("report", "labels", "card", "sign", "year"))
def test_accents_and_long_names_are_whole(kind):
    text = plain(" ".join(pages_of(MADE[kind]())))
    for word in LONG.split():
        assert word in text, word


@pytest.mark.parametrize("kind", MADE)
def test_nothing_leaves_the_page_or_lies_over_anything_else(kind):
    for page in pypdfium2.PdfDocument(MADE[kind]()):
        text = page.get_textpage()
        boxes = np.array([text.get_charbox(n) for n in range(text.count_chars()) if text.get_text_range(n, 1).strip()])
        assert (
            boxes[:, :2].min() >= 0 and boxes[:, 2].max() <= page.get_width() and boxes[:, 3].max() <= page.get_height()
        )
        assert _overlapping(boxes) == 0


def _overlapping(boxes):
    """How many pairs of letters share more than a fifth of the smaller one's box."""
    left, bottom, right, top = boxes.T
    wide = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    high = np.minimum.outer(top, top) - np.maximum.outer(bottom, bottom)
    shared = np.clip(wide, 0, None) * np.clip(high, 0, None)
    area = (right - left) * (top - bottom)
    return int(np.triu(shared > 0.2 * np.minimum.outer(area, area) + 1e-6, 1).sum())


def test_all_of_the_reports_lines_stand_on_its_page():
    said, [page] = made_report(), pages_of(MADE["report"]())
    text = plain(page)
    for line in (said.first, said.done, said.animals, said.call, said.next):
        assert plain(line) in text, line
    assert "temperature 78.4 °F fine" in text and "nitrate 12 mg/L: we are correcting it" in text
    assert GREEK in text and CYRILLIC in text


@pytest.mark.parametrize("size", ("a4", "letter"))
def test_a_page_has_the_size_asked_for(size):
    """Outside: ISO 216 (A4, 210 mm by 297 mm); ANSI/ASME Y14.1 (letter, 8.5 in by 11 in)."""
    box = PdfReader(BytesIO(sheet.pdf([sheet.Visit("Oak", "", [])], size, AT))).pages[0].mediabox
    assert (float(box.width) / 72 * 25.4, float(box.height) / 72 * 25.4) == pytest.approx(SIZES[size], abs=0.1)
    assert SIZES["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_a_bleach_label_has_its_cautions_and_leaves_the_hazard_words_to_the_products_label():
    text = plain(pages_of(MADE["bleach"]())[0])
    assert text.count("BLEACH SOLUTION") == 6 and text.count("200 mg/L") == 6
    for caution in table("papers")["bleach"]["caution"]:
        assert plain(caution) in text
    assert "local rules" in text and "product's own label" in text


def test_the_visit_sheet_follows_the_order_of_the_chat():
    text = plain(pages_of(MADE["sheet"]())[0])
    order = ["here Q7", "pH", "water change %", "added", "dosed", "what waits", "Jobs", "flow seen", "leaving"]
    places = [text.index(word) for word in order]
    assert places == sorted(places)


def test_a_letter_that_the_face_has_not_stops_no_page():
    content = sign.pdf(sign.Sign("鯉", "金魚 🐠", "x", "y"), "a4", AT)
    assert len(pages_of(content)) == 1
