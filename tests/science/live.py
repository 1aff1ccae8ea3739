"""Checks that ask a reference library while the tests run: (topic, source, how many), counted by tests/science/count.py."""

from __future__ import annotations

LIVE_CHECKS: list[tuple[str, str, int]] = []
