"""What is medication, and when an order on file covers it. The words are common practice, no source."""

from datetime import date

import pytest

from bot.rules import medicines

TODAY = date(2026, 3, 10)
ORDER = {"by": "veterinarian", "treatment": "copper sulfate", "date": "2026-03-01", "until": "2026-03-20"}


@pytest.mark.parametrize(
    ("text", "name"),
    [("copper", "copper"), ("prazi 10 g", "praziquantel"), ("meds", "medicine"), ("kanamycin", "antibiotic"),
     ("formalin bath", "formalin"), ("hyposalinity", "hyposalinity"), ("baking soda", None), ("water treatment", None),
     ("carbon", None), ("salt", None), ("mysis", None)],
)  # fmt: skip
def test_medication_is_told_by_its_words(text, name):
    assert medicines.named(text) == name


def test_an_order_covers_its_own_medication_while_it_holds():
    assert medicines.covers(ORDER, "dosed copper 5 ml", TODAY)
    assert medicines.covers(ORDER, "meds in", TODAY)
    assert not medicines.covers(ORDER, "prazi", TODAY)
    assert not medicines.covers(ORDER, "copper", date(2026, 3, 21))
    assert not medicines.covers(ORDER, "copper", date(2026, 2, 28))


def test_copper_and_formalin_kill_invertebrates():
    assert medicines.harms_invertebrates("copper")
    assert not medicines.harms_invertebrates("medicine")
