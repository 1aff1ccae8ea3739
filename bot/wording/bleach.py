"""A bleach bath in one line."""

from __future__ import annotations

from bot.science.working import Working
from bot.wording.quantities import quantity


def solution(worked: Working, amount: float, unit: str) -> str:
    """ "32 mL of 6 % (assumed) in 10 L = 200 mg/L"."""
    first = worked.figures[0]
    return f"{quantity(first.value, first.unit, 0)} of 6 % (assumed) in {quantity(amount, unit)} = 200 mg/L"
