"""How long a calculation takes: `python -m tests.bench.bench_calc`.

In this process: the median of reading a question, of working it out, and of both, over the examples of every topic.
As a whole process: `calc`, beside `python -c "import pint"`.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from bot.facts.load import table
from bot.science.topics import calculate
from bot.science.working import Known
from tests.questions import questions

ROOT = Path(__file__).parent.parent.parent
ROUNDS = 20
PROCESSES = 9


def main() -> None:
    examples = [row["example"] for row in table("topics").values()]
    asked = [questions(text)[0] for text in examples]
    read = [_microseconds(lambda text=text: questions(text)) for text in examples]
    work = [_microseconds(lambda question=question: calculate(question, Known())) for question in asked]
    print(f"a question read: median {median(read):.0f} us, slowest {max(read):.0f} us, {len(examples)} topics")
    print(f"worked out: median {median(work):.0f} us, slowest {max(work):.0f} us")
    print(f"calc as a process: median {_process(['-m', 'bot', 'calc', '--json', examples[0]]):.0f} ms")
    print(f'python -c "import pint": median {_process(["-c", "import pint"]):.0f} ms')


def _microseconds(call: Callable[[], object]) -> float:
    call()
    taken = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        call()
        taken.append((time.perf_counter() - began) * 1e6)
    return median(taken)


def _process(arguments: list[str]) -> float:
    taken = []
    for _ in range(PROCESSES):
        began = time.perf_counter()
        subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, check=True)
        taken.append((time.perf_counter() - began) * 1e3)
    return median(taken)


if __name__ == "__main__":
    main()
