"""The one command: what README and .ci/run start is the same, and its status tells the truth."""

from pathlib import Path

from tests import check

ROOT = Path(__file__).parent.parent


def test_the_machine_runs_the_command_that_the_readme_shows():
    command = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()[-1]
    assert command.endswith("python -m tests.check")
    assert command in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()


def test_one_failure_fails_the_whole_but_the_rest_still_runs(monkeypatch, capfd):
    checks = {"bad": ["py_compile", "no such file"], "good": ["py_compile", "tests/check.py"]}
    monkeypatch.setattr(check, "CHECKS", checks)
    assert check.main([]) == 1
    shown = capfd.readouterr().out
    assert "== bad: failed" in shown
    assert "== good: passed" in shown
    assert shown.rstrip().endswith("Failed: bad.")
    assert check.main(["good"]) == 0
