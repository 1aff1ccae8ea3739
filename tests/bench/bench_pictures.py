"""How long pictures and pages take, and how much memory: `python -m tests.bench.bench_pictures`.

Each in a process of its own: the first one with all that it loads, then the median of further ones, and the memory
after many. The plot is measured beside the same rows drawn by a general plotting library (matplotlib, the Agg canvas
without pyplot), in the same run; ratios are ours to theirs.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).parent.parent.parent
NOW = datetime(2026, 3, 10, tzinfo=UTC)
FURTHER, MANY, ROUNDS = 9, 60, 3


def strip() -> Any:
    """Five tests of half a year, thirty readings each."""
    from bot.rules.plots import Point, Row, Strip

    days = [NOW - timedelta(days=6 * n) for n in range(30, 0, -1)]
    tests = (("temperature", "degF", 78, 0.3), ("ph", "pH", 8.1, 0.05), ("salinity", "SG", 1.025, 0.0005),
             ("alkalinity", "dKH", 8, 0.2), ("nitrate", "mg/L", 6, 2))  # fmt: skip
    rows = [
        Row(name, unit, tuple(Point(at, base + n * 7 % 5 * step) for n, at in enumerate(days)), (base, base + 3 * step))
        for name, unit, base, step in tests
    ]
    return Strip("Merriwick waiting room", NOW - timedelta(days=182), NOW, tuple(rows), tuple(days[::2]))


def plot() -> bytes:
    from bot.wording.pictures import raster
    from bot.wording.pictures import strip as scenes

    return raster.png(scenes.scene(strip()))


def peer_plot() -> bytes:
    """The same five rows by the plotting library, at the same size in pixels."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    found, out = strip(), BytesIO()
    figure = Figure(figsize=(3.6, 5.9), dpi=300)
    FigureCanvasAgg(figure)
    for number, row in enumerate(found.rows, 1):
        axes = figure.add_subplot(len(found.rows), 1, number)
        axes.axhspan(*row.usual, color="0.88")
        axes.plot([p.at for p in row.points], [p.value for p in row.points], color="0.5", marker="o", mfc="k", ms=2)
        axes.set_title(row.parameter, fontsize=6)
    figure.savefig(out, format="png")
    return out.getvalue()


def report() -> bytes:
    from bot.rules.report import Deed, Number, Report
    from bot.wording import report as words
    from bot.wording.papers import report as page

    tests = (("temperature", 78.4, "degF"), ("ph", 8.2, "pH"), ("salinity", 1.0255, "SG"), ("nitrate", 14, "mg/L"))
    numbers = tuple(Number(p, v, u, "Oak", p != "nitrate") for p, v, u in tests)
    found = Report(
        "Oak House", ("Oak",), NOW, NOW, ("ana",), numbers, (Deed("glass cleaned", "Oak"),), next="2026-03-24"
    )
    return page.pdf(words.lines(found), page.Extras("The team", "letter", NOW, plot=strip()))


def labels() -> bytes:
    from bot.wording.papers import labels as page

    link = "https://chat.example/round?start=abcdefghijkl"
    return page.tanks(
        [page.Label(f"Tank {n}", "Oak House", f"Q{n}", "95 gal", f"{link}{n:02d}") for n in range(60)], "a4", NOW
    )


def card() -> bytes:
    from bot.wording.papers import card as page

    return page.pdf(
        [page.Card("Oak", "Q7", [("Water", "95 gal")] * 8, ["heater", "pump"], "Desk 555-0100")], NOW, "today"
    )


WHAT: dict[str, Callable[[], bytes]] = {
    "plot": plot, "peer_plot": peer_plot, "report": report, "labels": labels, "card": card,
}  # fmt: skip


def measured(name: str) -> dict[str, float]:
    """In this process: milliseconds of the first and of further ones, memory in MB before, after one, after many."""
    make, before = WHAT[name], _memory_MB()
    first = _ms(make)
    after_one = _memory_MB()
    further = median(_ms(make) for _ in range(FURTHER))
    for _ in range(MANY if name.endswith("plot") else MANY // 6):
        make()
    return {"first": first, "further": further, "bytes": len(make()), "before": before, "one": after_one,
            "many": _memory_MB()}  # fmt: skip


def main() -> None:
    found = {name: _best(name) for name in WHAT}
    print(f"{'':10} {'first ms':>9} {'further':>8} {'KB':>6} {'MB before':>10} {'after one':>10} {'after many':>11}")
    for name, row in found.items():
        numbers = f"{row['first']:9.0f} {row['further']:8.0f} {row['bytes'] / 1000:6.0f} {row['before']:10.0f}"
        print(f"{name:10} {numbers} {row['one']:10.0f} {row['many']:11.0f}")
    ours, theirs = found["plot"], found["peer_plot"]
    ratios = {key: ours[key] / theirs[key] for key in ("first", "further", "many")}
    print("plot beside the plotting library: " + ", ".join(f"{key} {ratio:.2f}" for key, ratio in ratios.items()))


def _best(name: str) -> dict[str, float]:
    """Each process apart, the median run by its first one: cold files make the very first slow."""
    command = [sys.executable, "-m", "tests.bench.bench_pictures", name]
    runs = [
        json.loads(subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout) for _ in range(ROUNDS)
    ]
    return dict(sorted(runs, key=lambda run: run["first"])[ROUNDS // 2])


def _ms(make: Callable[[], bytes]) -> float:
    began = time.perf_counter()
    make()
    return (time.perf_counter() - began) * 1e3


def _memory_MB() -> float:
    """The most that this process has held so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(json.dumps(measured(sys.argv[1])))
    else:
        main()
