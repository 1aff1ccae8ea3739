"""Pictures: nothing hidden, nothing too small, nothing over the edge, whatever the data."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from bot.rules.plots import Point, Row, Strip
from bot.rules.sheet import Cell, Line
from bot.wording.pictures import contacts, day, pair, sheet, strip, vat
from bot.wording.pictures.letters import cut, width_of, wrapped
from bot.wording.pictures.raster import png
from bot.wording.pictures.scene import SMALL, WIDTH, Box, Dot, Words
from bot.wording.plots import lines

START = datetime(2025, 9, 9, tzinfo=UTC)
LONG = "Königliche Seewasser-Rundbecken Łódź, Außenstelle Nr. 12 (Foyer)"

points = st.builds(
    lambda days, value, sure, edge: Point(START + timedelta(days=days), value, sure, edge),
    st.floats(0, 182), st.floats(0, 5000).map(lambda v: round(v, 2)), st.booleans(), st.sampled_from((0, 0, 0, -1, 1)),
)  # fmt: skip
moments = st.lists(st.floats(0, 182).map(lambda d: START + timedelta(days=d)), max_size=6).map(tuple)
rows = st.builds(
    lambda name, unit, found, limits: Row(name, unit, tuple(sorted(found, key=lambda p: p.at)), None, limits),
    st.sampled_from(("nitrate", "salinity", "calcium")), st.sampled_from(("mg/L", "ppt")),
    st.lists(points, min_size=1, max_size=30), st.sampled_from(((None, None), (1.0, 10.0), (None, 9.0))),
)  # fmt: skip
strips = st.builds(
    lambda tank, found, changes, doses: Strip(
        tank, START, START + timedelta(days=182), tuple({r.parameter: r for r in found}.values()), changes, doses
    ),
    st.sampled_from(("Oak", LONG)), st.lists(rows, min_size=1, max_size=3), moments, moments,
)  # fmt: skip
names = st.sampled_from(("Oak lobby", LONG, "QT-1"))
cells = st.sampled_from((Cell(), Cell("N", "nitrate", 1), Cell("N", "nitrate", 2), Cell("A", "ammonia", 3)))
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
weeks = st.builds(
    lambda room, level, draws: vat.Week("salt water", room, level, list(zip(DAYS, draws, strict=True)), "gal"),
    st.floats(0, 900), st.floats(0, 900), st.tuples(*[st.floats(0, 200)] * 7),
)  # fmt: skip
SCENES = {
    "strip": strips.map(strip.scene),
    "sheet": st.lists(st.builds(Line, names, st.tuples(*[cells] * 12)), min_size=1, max_size=60).map(
        lambda found: sheet.scene("60 tanks by trouble, 12 weeks", found, [f"{n} Mar" for n in range(12)])
    ),
    "day": st.lists(st.builds(day.Bar, names, st.lists(st.tuples(st.floats(500, 600), st.floats(600, 900)), min_size=1,
                    max_size=3), st.sampled_from(("hands", "wait", "running", "planned"))), max_size=9).map(
        lambda bars: day.scene(LONG, bars, 620, 900, "Door 15:00.")
    ),
    "vat": st.lists(weeks, min_size=1, max_size=2).map(lambda found: vat.scene("New water, the next 7 days", found)),
    "contacts": st.lists(st.builds(contacts.Contact, st.just("3 Mar 10:27"), names, names), min_size=1, max_size=9).map(
        lambda found: contacts.scene(LONG, found)
    ),
}  # fmt: skip


def words_of(scene):
    return [shape for shape in scene.shapes if isinstance(shape, Words) and shape.text.strip()]


def extent(words):
    """Left, top, right, bottom of the ink, roughly: letters reach 0.7 of their size up and 0.2 down."""
    width = width_of(words.text, words.size, words.bold)
    left = words.x - {"l": 0, "m": width / 2, "r": width}[words.at]
    return left, words.y - 0.7 * words.size, left + width, words.y + 0.15 * words.size


@pytest.mark.parametrize("kind", SCENES)
def test_all_words_stand_inside_the_picture_and_are_large_enough(kind):
    @settings(max_examples=25, deadline=None)
    @given(SCENES[kind])
    def holds(scene):
        assert scene.width == WIDTH
        for words in words_of(scene):
            left, top, right, bottom = extent(words)
            assert words.size >= SMALL
            assert left >= 0 and right <= WIDTH + 0.5, words
            assert top >= 0 and bottom <= scene.height, words

    holds()


@pytest.mark.parametrize("kind", ("strip", "sheet", "vat", "contacts"))
def test_no_words_lie_over_other_words(kind):
    @settings(max_examples=25, deadline=None)
    @given(SCENES[kind])
    def holds(scene):
        found = [(w, extent(w)) for w in words_of(scene)]
        for i, (one, a) in enumerate(found):
            for other, b in found[i + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (one, other)

    holds()


@settings(max_examples=25, deadline=None)
@given(strips)
def test_every_reading_is_a_dot_and_hollow_only_where_nobody_stands_by_it(found):
    legend = 2
    dots = [shape for shape in strip.scene(found).shapes if isinstance(shape, Dot)][:-legend]
    expected = [p for row in found.rows for p in row.points]
    assert [dot.hollow for dot in dots] == [not p.confirmed for p in expected]
    places = iter(dots)
    for row in found.rows:
        drawn = sorted(zip(row.points, places, strict=False), key=lambda each: each[0].value)
        assert all(low.y >= high.y for (_, low), (_, high) in pairwise(drawn))


def test_the_usual_is_a_grey_band_behind_and_changes_and_doses_are_ticks():
    points_ = tuple(Point(START + timedelta(days=n), 8 + n % 2) for n in range(10))
    row = Row("nitrate", "mg/L", points_, (8.0, 9.0), (1.0, 12.0))
    plain = Strip("Oak", START, START + timedelta(days=182), (row,))
    marked = Strip("Oak", START, START + timedelta(days=182), (row,), (START,), (START, START))
    band, *_ = [s for s in strip.scene(plain).shapes if isinstance(s, Box)]
    assert band.fill and band.fill > 200 and band.width > 200
    assert len(strip.scene(marked).shapes) == len(strip.scene(plain).shapes) + 3


def test_the_text_line_says_the_last_value_and_what_is_usual():
    points_ = tuple(Point(START + timedelta(days=n), v) for n, v in enumerate((6, 9, 9, 9, 12)))
    row = Row("nitrate", "mg/L", points_, (7.2, 10.8))
    assert lines(Strip("Oak", START, START + timedelta(days=182), (row,))) == [
        "Oak, 6 months, 5 readings: NO3 12 mg/L (usual 7.2 to 10.8)"
    ]


def test_a_png_is_grey_three_times_as_wide_and_the_same_each_time():
    row = Row("nitrate", "mg/L", (Point(START, 6), Point(START + timedelta(days=90), 9, False)))
    scene = strip.scene(Strip("Oak", START, START + timedelta(days=182), (row,)))
    made = png(scene)
    with Image.open(BytesIO(made)) as image:
        assert image.mode == "L" and image.width == 1080
        assert image.getextrema() == (0, 255)
    assert png(scene) == made


def test_two_photos_are_cut_to_the_same_shape_and_one_that_is_missing_leaves_a_field(tmp_path):
    Image.new("RGB", (1200, 300), (200, 40, 40)).save(tmp_path / "wide.jpg")
    made = png(pair.scene("Oak", [pair.Half(str(tmp_path / "wide.jpg"), "3 Mar"), pair.Half("gone.jpg", "10 Mar")]))
    with Image.open(BytesIO(made)) as image:
        assert image.mode == "RGB"
        red, field = image.getpixel((200, 400)), image.getpixel((800, 300))
        assert red[0] > 150 and red[1] < 90
        assert field == (226, 226, 226)


@given(st.text(max_size=60), st.floats(20, 300))
def test_a_text_that_is_cut_fits(text, room):
    assert width_of(cut(text, 12, room), 12) <= room or len(cut(text, 12, room)) <= 1


@given(st.lists(st.text(alphabet="abcäöüß", min_size=1, max_size=12), min_size=1, max_size=20), st.floats(60, 300))
def test_wrapped_lines_fit_and_keep_every_word_that_fits_alone(parts, room):
    found = wrapped(" ".join(parts), 12, room)
    assert all(width_of(line, 12) <= room for line in found)
    assert " ".join(found).split() == parts or any(width_of(p, 12) > room for p in parts)
