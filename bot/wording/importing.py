"""What is said of an old log: how it was understood before anything is stored, and what was stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.rules.importing import Plan, Question
from bot.rules.importing_rows import Line
from bot.wording.quantities import full_name, unit_word

_MOST = 5
NOTHING_YET = "Nothing is stored yet."


def summary(plan: Plan, new: int) -> list[str]:
    """The dry run in at most four lines: counts, columns, the one question, and that nothing is stored."""
    if plan.problem:
        return [plan.problem, NOTHING_YET]
    rows, tanks = len(plan.lines), len(plan.tanks)
    counts = " · ".join(f"{fate} {plan.count(fate):,}" for fate in ("fine", "doubtful", "unreadable"))
    head = f"{rows:,} row{'s' * (rows != 1)}, {tanks} tank{'s' * (tanks != 1)}: {counts}"
    if not new:
        return [head, "Every row is in the record already: nothing to import."]
    lines = [head + ("" if new == rows else f". New here: {new:,}"), _columns(plan)]
    return [*lines, *([question(plan.question)] if plan.question else []), NOTHING_YET]


def question(asked: Question) -> str:
    """The one question."""
    if asked.about == "dates":
        return f'"{asked.sample}": day first or month first?'
    units = " or ".join(unit_word(unit) or unit for unit in asked.options)
    return f'"{asked.sample}": {units}?'


def answers(plan: Plan, new: int) -> tuple[tuple[str, str], ...]:
    """What can be pressed: (label, value)."""
    doubtful = (("Doubtful rows", "doubtful"),) if plan.count("doubtful") + plan.count("unreadable") else ()
    if plan.problem or not new:
        return ()
    if plan.question and plan.question.about == "dates":
        return (("Day first", "day"), ("Month first", "month"), *doubtful)
    if plan.question:
        return (*((unit_word(u) or u, f"unit {u}") for u in plan.question.options), *doubtful)
    return (("Import", "import"), *doubtful, ("No", "drop"))


def meant(words: str, options: Sequence[object]) -> str | None:
    """The answer that the words give, of those that stand to choice."""
    said = words.strip().strip(".!?").casefold()
    found = (value for value, ways in _MEANT.items() if said in ways or (value == "doubtful" and "doubtful" in said))
    return next((value for value in found if value in options), None)


_MEANT = {
    "day": ("day first", "dd/mm", "d/m", "day month", "day then month"),
    "month": ("month first", "mm/dd", "m/d", "month day", "month then day"),
    "doubtful": ("doubtful", "doubtful rows", "show them", "which rows", "which ones"),
    "import": ("import", "import it", "import them", "yes", "go", "go ahead", "do it", "store it", "store them"),
    "drop": ("no", "cancel", "stop", "dont", "don't", "forget it", "do not import"),
}


def doubts(lines: Sequence[Line], most: int = _MOST) -> list[str]:
    """The rows that are doubtful or unreadable, by their line in the file, with what is wrong."""
    odd = [line for line in lines if line.fate != "fine"]
    shown = [f"Line {line.row.number}: {'; '.join(line.faults)}" for line in odd[:most]]
    return shown + ([f"and {len(odd) - most:,} more"] if len(odd) > most else []) or ["No row is doubtful."]


def done(counts: Mapping[str, int]) -> list[str]:
    """What was stored."""
    rows = counts["fine"] + counts["doubtful"]
    if not rows and not counts["unreadable"]:
        return ["Nothing new in this file: every row is in the record already."]
    said = f"Imported {rows:,} row{'s' * (rows != 1)}: {counts['facts']:,} entries"
    unread = f"{counts['unreadable']:,} could not be read and are kept as they stood." if counts["unreadable"] else ""
    return [
        said + ("; of the doubtful ones only what could be read." if counts["doubtful"] else "."),
        *filter(None, [unread]),
    ]


def _columns(plan: Plan) -> str:
    known = [_column(c.role, [t.parameter for t in c.tests]) for c in plan.columns if c.role not in ("", "number")]
    odd = [c.header for c in plan.columns if c.role == "" and c.header]
    fresh = f". New tanks: {_some(plan.new_tanks)}" if plan.new_tanks else ""
    return f"Columns: {', '.join(known)}" + (f"; not read: {_some(odd)}" if odd else "") + fresh


def _column(role: str, parameters: Sequence[str]) -> str:
    return " and ".join(full_name(p) for p in parameters) if role == "test" else {"clock": "time"}.get(role, role)


def _some(names: Sequence[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
