"""The heaviest set of claims that do not clash wins."""

from hypothesis import given
from hypothesis import strategies as st

from bot.understanding.claims import Claim, choose


def claim(weight: float, *used: int) -> Claim:
    return Claim((), frozenset(used), weight)


def test_one_that_explains_all_beats_two_that_explain_a_half_each():
    whole, left, right = claim(4.0, 0, 1, 2, 3), claim(1.9, 0, 1), claim(1.9, 2, 3)
    assert choose([left, right, whole], 4) == [whole]


def test_claims_on_separate_tokens_stand_together_in_order():
    first, second = claim(1.0, 0, 3), claim(1.0, 1, 2)
    assert choose([second, first], 4) == [first, second]


def test_a_claim_without_weight_or_tokens_is_left_out():
    assert choose([claim(0.0, 0), claim(2.0)], 1) == []


@given(st.lists(st.tuples(st.floats(0.1, 5), st.sets(st.integers(0, 7), min_size=1, max_size=4)), max_size=7))
def test_the_choice_is_the_best_of_all_choices(offers):
    claims = [claim(weight, *used) for weight, used in offers]
    best = 0.0
    for mask in range(1 << len(claims)):
        picked = [c for i, c in enumerate(claims) if mask >> i & 1]
        tokens = [i for c in picked for i in c.used]
        if len(tokens) == len(set(tokens)):
            best = max(best, sum(c.weight for c in picked))
    chosen = choose(claims, 8)
    tokens = [i for c in chosen for i in c.used]
    assert len(tokens) == len(set(tokens))
    assert abs(sum(c.weight for c in chosen) - best) < 1e-9
