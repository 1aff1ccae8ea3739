"""A worked answer as a technician reads it."""

from bot.science.working import Figure, Problem, Working
from bot.wording.questions import figure, full_lines, reply_lines, rounded


def test_figures_are_no_finer_than_the_instrument():
    shown = [(1.026543, "SG"), (34.9612, "ppt"), (78.26, "degF"), (8.0412, "pH"), (1454.46, "g"), (2.896, "h")]
    assert [rounded(value, unit) for value, unit in shown] == ["1.0265", "35", "78.3", "8.04", "1450", "2.9"]


def test_a_small_value_does_not_vanish():
    assert rounded(0.00725, "mg/L") == "0.00725"
    assert rounded(0.004, "drop/s") == "0.004"


def test_spoons_are_level_and_in_quarters():
    assert figure(Figure("amount", 4.6, "tsp")) == "about 1 1/2 level tbsp"
    assert figure(Figure("amount", 0.7, "tsp")) == "about 3/4 level tsp"


def test_the_answer_stands_in_the_first_line_and_other_units_beside_it():
    worked = Working("salt_mix", (Figure("salt", 4126.75, "g"), Figure("salt", 9.098, "lb")), assumed=("a", "b", "c"))
    assert reply_lines(worked) == ["salt: 4130 g (9.1 lb)", "assumed: a; b; and 1 more (steps)"]


def test_an_amount_of_bleach_is_shown_in_what_the_hand_holds():
    line = reply_lines(Working("bleach_solution", (Figure("bleach", 107.6, "mL"),)))[0]
    assert line == "bleach: 108 mL (about 7 1/4 level tbsp)"


def test_one_caution_in_short_and_all_in_full_on_request():
    worked = Working("salt_mix", (Figure("salt", 1, "g"),), steps=("1 + 1",), cautions=("x.", "y."), sources=("s",))
    assert reply_lines(worked) == ["salt: 1 g", "x."]
    assert full_lines(worked) == ["1 + 1", "x.", "y.", "sources: s"]


def test_a_problem_is_its_own_sentence():
    assert reply_lines(Problem("co2", "What is the pH?")) == ["What is the pH?"]
