"""Whole conversations on a simulated clock, with expectations written by hand (tests/replays.py says how)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.replays import faults

ROOT = Path(__file__).parent.parent
FIXTURES = sorted((ROOT / "fixtures" / "replay").glob("*.jsonl"))


@pytest.mark.parametrize("path", FIXTURES, ids=lambda p: p.stem)
def test_the_conversation_goes_as_written_down(path: Path) -> None:
    assert faults(path) == []


def test_the_same_script_gives_the_same_output_byte_for_byte() -> None:
    script = str(ROOT / "fixtures" / "replay" / "whole-life.jsonl")
    command = [sys.executable, "-m", "bot", "replay", script]
    first, second = (subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout for _ in range(2))
    assert first == second
    assert first.count(b"\n") > 20
