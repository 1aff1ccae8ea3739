"""The floors: who may import whom, and what the pure rooms may never ask the machine for."""

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

ROOT = Path(__file__).parent.parent
PURE = ("items.py", "messages.py", "team.py", "facts", "understanding", "science", "rules", "wording")
CLOCKS = {"now", "today", "utcnow"}
CLOCK_OWNERS = {"datetime", "date", "dt", "time"}
SETTINGS = {"environ", "getenv"}
SLOW_TO_LOAD = ("pint", "sqlite3", "sqlite_utils", "telegram", "apscheduler", "asyncio")


def pure_files():
    rooms = [ROOT / "bot" / room for room in PURE]
    return [path for room in rooms for path in ([room] if room.suffix else sorted(room.rglob("*.py")))]


def asked_of_the_machine(source: str) -> list[str]:
    """`.now()` called or handed on from a clock, `.environ`, `.getenv`; a field that is named `now` is none of it."""
    tree = ast.parse(source)
    called = {node.func for node in ast.walk(tree) if isinstance(node, ast.Call)}
    return [
        f"line {node.lineno}: .{node.attr}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and (
            node.attr in SETTINGS
            or (node.attr in CLOCKS and (node in called or _last_name(node.value) in CLOCK_OWNERS))
        )
    ]  # fmt: skip


def _last_name(node: ast.expr) -> str:
    return getattr(node, "attr", None) or getattr(node, "id", "")


def opened_while_importing(source: str) -> list[str]:
    """Calls outside any function or class that open or read a file."""
    outside = [
        node
        for statement in ast.parse(source).body
        if not isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        for node in ast.walk(statement)
    ]
    names = [_last_name(node.func) for node in outside if isinstance(node, ast.Call)]
    return [name for name in names if name in {"open", "read_text", "read_bytes", "connect"}]


def test_every_room_imports_only_from_the_floors_below(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    assert lint_imports(no_cache=True) == 0, capsys.readouterr().out


@pytest.mark.parametrize("path", pure_files(), ids=lambda p: str(p.relative_to(ROOT)))
def test_pure_rooms_ask_neither_the_clock_nor_the_settings(path):
    assert asked_of_the_machine(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "guilty",
    [
        "at = datetime.now(UTC)",
        "default = datetime.now",
        "import datetime as dt\nd = dt.date.today()",
        "when = clock.utcnow()",
        "import os\npath = os.environ['HOME']",
        "import os\npath = os.getenv('HOME')",
    ],
)
def test_the_check_sees_a_hidden_clock_or_setting(guilty):
    assert asked_of_the_machine(guilty)


def test_the_check_allows_the_field_called_now():
    assert asked_of_the_machine("def f(situation):\n    return situation.now.date()") == []


@pytest.mark.parametrize("path", sorted((ROOT / "bot").rglob("*.py")), ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_is_opened_while_importing(path):
    assert opened_while_importing(path.read_text(encoding="utf-8")) == []


@pytest.mark.skipif(not (ROOT / "bot" / "__main__.py").exists(), reason="the verbs are not there yet")
def test_reading_a_message_loads_neither_units_library_nor_database_nor_chat():
    script = (
        "import runpy, sys\n"
        "sys.argv = ['bot', 'read', 'ph 8.2']\n"
        "try:\n    runpy.run_module('bot', run_name='__main__')\n"
        "except SystemExit as left:\n    assert not left.code, left.code\n"
        f"print('LOADED', [m for m in {SLOW_TO_LOAD!r} if m in sys.modules])\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60, env=dict(os.environ)
    )
    assert ran.returncode == 0, ran.stderr
    assert '"parameter": "ph"' in ran.stdout
    assert ran.stdout.splitlines()[-1] == "LOADED []"
