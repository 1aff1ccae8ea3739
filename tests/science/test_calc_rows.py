"""Every sum of fixtures/calc against the figure somebody else published or computed."""

from __future__ import annotations

import pytest

from bot.science.working import Problem
from tests.science.calc_rows import answer, fault, rows

ROWS = rows()


@pytest.mark.parametrize("row", [row for _, row in ROWS], ids=[place for place, _ in ROWS])
def test_a_sum_agrees_with_its_source(row):
    assert fault(row) is None


@pytest.mark.parametrize("row", [row for _, row in ROWS], ids=[place for place, _ in ROWS])
def test_each_row_says_where_its_figure_comes_from(row):
    assert len(row["source"]) > 3
    assert len(row["how"]) > 3


def test_an_answer_never_lacks_its_sources_and_its_steps():
    worked = [each for each in (answer(row) for _, row in ROWS) if not isinstance(each, Problem)]
    assert [each for each in worked if not each.sources or not each.steps] == []


def test_the_check_sees_a_figure_that_is_off():
    right = next(row for _, row in ROWS if "value" in row["expect"])
    wrong = right | {"expect": right["expect"] | {"value": right["expect"]["value"] * 1.5 + 1}}
    assert fault(right) is None
    assert fault(wrong) is not None
