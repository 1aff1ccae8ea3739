"""Questions of the gates: what passes, what goes back, what holds, and for whom."""

import pytest

from bot.rules import gates

WAIT_GATES = ("G1", "G2", "G3", "G4", "flow")


@pytest.mark.parametrize("key", WAIT_GATES)
def test_a_gate_opens_only_with_every_question_answered(key):
    gate = gates.gate(key)
    passes = {q.key: next(a.key for a in q.answers if a.then == "pass") for q in gate.queries}
    assert gates.open_query(gate, passes) is None
    for query in gate.queries:
        assert gates.open_query(gate, {k: v for k, v in passes.items() if k != query.key}) == query


@pytest.mark.parametrize("key", WAIT_GATES)
def test_all_well_takes_at_most_two_presses(key):
    assert len(gates.gate(key).queries) <= 2


@pytest.mark.parametrize("key", WAIT_GATES)
def test_buttons_fit_the_thumb_and_the_data_fits_64_bytes(key):
    for query in gates.gate(key).queries:
        assert len(query.answers) <= 3
        for answer in query.answers:
            assert len(answer.label) <= 18
            assert len(f"g:123456789:{query.key}:{answer.key}".encode()) <= 64


HARD = [("G1", "strip", "strip_colour"), ("G2", "chlorine", "strip_colour"), ("G4", "water", "water_shows")]


@pytest.mark.parametrize(("key", "query", "answer"), HARD)
def test_a_hard_answer_is_overridden_by_nobody(key, query, answer):
    found = next(q for q in gates.gate(key).queries if q.key == query).answer(answer)
    assert found.override == ()


def test_without_a_strip_only_the_owner_decides():
    assert next(q for q in gates.gate("G1").queries if q.key == "strip").answer("no_strip").override == ("owner",)


@pytest.mark.parametrize(
    ("text", "answers"),
    [
        ("no smell", {"smell": "no_smell"}),
        ("doesn't smell", {"smell": "no_smell"}),
        ("smells of nothing", {"smell": "no_smell"}),
        ("still smells", {"smell": "smells"}),
        ("faint", {"smell": "smells"}),
        ("no smell, strip clear", {"smell": "no_smell", "strip": "strip_clear"}),
        ("strip pink", {"strip": "strip_colour"}),
        ("blorp", {}),
    ],
)
def test_words_answer_the_smell_question(text, answers):
    assert gates.answers_in(text, gates.gate("G1"), {}) == answers


@pytest.mark.parametrize(
    ("text", "answer"),
    [("nothing", "strip_clear"), ("0", "strip_clear"), ("0.0", "strip_clear"), ("0.1", "strip_colour"),
     ("no", "strip_clear"), ("no strip", "no_strip"), ("out of strips", "no_strip"), ("slight pink", "strip_colour"),
     ("none left", "no_strip")],
)  # fmt: skip
def test_words_answer_the_strip_question(text, answer):
    assert gates.answers_in(text, gates.gate("G1"), {"smell": "no_smell"}) == {"strip": answer}


def test_a_reason_has_eight_letters():
    assert not gates.enough_reason("ok go on")
    assert not gates.enough_reason(None)
    assert gates.enough_reason("only a top-off")


def test_reports_imports_and_deletions_are_for_office_and_owner():
    assert [r for r in ("technician", "office", "owner", "learner") if gates.may("G11", r)] == ["office", "owner"]


def test_no_word_of_a_gate_claims_that_a_thing_is_safe():
    said = str([(q.ask, [(a.label, a.says) for a in q.answers]) for k in WAIT_GATES for q in gates.gate(k).queries])
    assert "safe" not in said.lower()
