"""Every check, fast to slow: `python -m tests.check`, or some of them by name. Status 0 only where all pass."""

import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
CHECKS = {
    "format": ["ruff", "format", "--check", "--quiet", "bot", "tests", "fixtures"],
    "lint": ["ruff", "check", "--quiet", "bot", "tests", "fixtures"],
    "floors": ["importlinter.cli"],
    "types": ["mypy"],
    "tests": ["pytest", "-q", "--durations=10"],
}
FLOORS = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"


def command(words: list[str]) -> list[str]:
    """The words as a module of this very interpreter, so that no other installation answers."""
    return [sys.executable, "-c", FLOORS] if words == ["importlinter.cli"] else [sys.executable, "-m", *words]


def main(names: list[str]) -> int:
    """Runs the named checks (all of them where none is named) to the end; 1 where any of them failed."""
    failed = []
    for name in names or list(CHECKS):
        print(f"== {name}", flush=True)
        began = time.monotonic()
        code = subprocess.run(command(CHECKS[name]), cwd=ROOT).returncode
        print(f"== {name}: {'failed' if code else 'passed'} in {time.monotonic() - began:.1f} s", flush=True)
        failed += [name] if code else []
    print("All checks passed." if not failed else f"Failed: {', '.join(failed)}.")
    return int(bool(failed))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
