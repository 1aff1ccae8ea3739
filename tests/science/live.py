"""Checks that ask a reference library while the tests run: (topic, source, how many), for tests/science/count.py."""

from __future__ import annotations

LIVE_CHECKS: list[tuple[str, str, int]] = [
    ("heating", "gsw (TEOS-10), heat capacity", 20),
    ("temperature_blend", "gsw (TEOS-10), mass and heat balance", 12),
    ("oxygen", "gsw (TEOS-10), oxygen solubility", 16),
    ("dose", "IUPAC atomic weights (molmass), each chemical", 36),
    ("dechlorination", "IUPAC atomic weights (molmass), reactions", 10),
    ("convert", "gsw (TEOS-10), density and conductivity", 22),
    ("top_off", "gsw (TEOS-10), salt balance", 4),
    ("convert", "IUPAC atomic weights (molmass), reported forms", 10),
    ("convert", "pint (US customary and SI definitions)", 33),
]
