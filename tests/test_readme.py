"""The README shows what really happens: its conversation is played from the fixture that it names."""

from __future__ import annotations

import json
import re
import sys
import tempfile
from datetime import datetime
from pathlib import Path
from typing import Any

from bot.doors.replay import read_script, replay_by_line

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
_PLACE = re.compile(r"(<!-- conversation: (\S+) -->\n)(.*?)(<!-- end of conversation -->)", re.S)
_WIDTH = 8


def conversation(path: Path) -> str:
    """A replay as one would see it: who said what, when, and the buttons under the bot's answers."""
    script = read_script(path.read_text(encoding="utf-8").splitlines())
    said: dict[int, list[dict[str, Any]]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for number, out in replay_by_line(script, str(Path(folder) / "r.db"), path.parent):
            said.setdefault(number, []).append(out)
    lines: list[str] = []
    who = ""
    for number, line in enumerate(script, start=1):
        outs = said.get(number, [])
        answered = next((i for i, o in enumerate(outs) if o.get("line") == number), len(outs))
        before, after = outs[:answered], outs[answered:]
        who = str(line.get("who", who))
        lines += [_bot(o, who) for o in before] + _person(line) + [_bot(o, who) for o in after]
    return "\n".join(filter(None, lines))


def _person(line: Any) -> list[str]:
    if "restart" in line:
        return [f"{_clock(line['at'])}  (the process is killed and started again)"]
    if "down_until" in line:
        return [f"{_clock(line['at'])}  (the machine is off until {_clock(line['down_until'])})"]
    if "who" not in line:
        return []
    words = f"[{line['press']}]" if "press" in line else str(line.get("text", ""))
    edited = " (edited)" if "edit" in line else ""
    return [f"{_clock(line['at'])}  {line['who']:<{_WIDTH}}> {words}{edited}"]


def _bot(out: dict[str, Any], who: str) -> str:
    to = "" if out["to"] == who else f"(to {out['to']}) "
    head = f"{_clock(out['at'])}  {'':<{_WIDTH}}> {to}"
    buttons = [" ".join(f"[{label}]" for label in out["buttons"])] if out["buttons"] else []
    return head + ("\n" + " " * len(head)).join([*out["text"].splitlines(), *buttons])


def _clock(iso: str) -> str:
    return f"{datetime.fromisoformat(iso):%H:%M}"


def rendered(text: str) -> str:
    """The README with every conversation in it played anew."""
    return _PLACE.sub(lambda m: f"{m[1]}```text\n{conversation(ROOT / m[2])}\n```\n{m[4]}", text)


def test_the_conversation_in_the_readme_is_what_the_bot_really_says() -> None:
    text = README.read_text(encoding="utf-8")
    assert _PLACE.search(text)
    assert rendered(text) == text


def test_every_verb_of_the_readme_exists() -> None:
    from bot.__main__ import VERBS

    named = set(re.findall(r"python -m bot ([a-z]+)", README.read_text(encoding="utf-8")))
    assert named <= set(VERBS) and {"demo", "serve", "calc", "import", "invite"} <= named


if __name__ == "__main__":
    if sys.argv[1:] == ["--write"]:
        README.write_text(rendered(README.read_text(encoding="utf-8")), encoding="utf-8")
    else:
        print(json.dumps({"usage": "python -m tests.test_readme --write"}))
