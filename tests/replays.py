"""How a replay fixture says what must happen: lines with "expect" behind the input line that they are about.

    {"at": "...", "who": "ana", "text": "ph 8.2"}
    {"expect": [{"to": "ana", "contains": ["pH 8.2"], "stored": [{"kind": "reading", "value": 8.2}]}]}

Everything that the bot puts out during a line (what fell due before it included) must be expected, one for one and in
order; {"expect": []} means silence. "beside": ["No look"] next to "expect" lets messages that begin so come as well,
for long stretches that are about something else. Keys of an expectation, all optional:
    to, at, unasked, sound, buttons, files   equal
    contains, lacks                          texts that the message has, or has not (capitals count)
    starts                                   how the message begins
    stored, voided                           as many items as given; each key given is equal in one of them (order free)
    stored_contains                          items of which each is among the stored ones, others may be beside them
    most_lines                               the message has no more lines than this
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from bot.doors.replay import read_script, replay_by_line

EQUAL = ("to", "unasked", "sound", "buttons", "files", "problem")


def faults(path: Path) -> list[str]:
    """What does not happen as the fixture expects; [] where all does."""
    script = read_script(path.read_text(encoding="utf-8").splitlines())
    with tempfile.TemporaryDirectory() as folder:
        outs: dict[int, list[dict[str, Any]]] = {}
        for number, out in replay_by_line(script, str(Path(folder) / "replay.db"), path.parent):
            outs.setdefault(number, []).append(out)
    return [f"{path.name}:{fault}" for fault in _compared(script, outs)]


def _compared(script: Sequence[Mapping[str, Any]], outs: Mapping[int, list[dict[str, Any]]]) -> Iterator[str]:
    last = 0
    for number, line in enumerate(script, start=1):
        if "at" in line:
            last = number
        if "expect" not in line:
            continue
        beside, wanted = tuple(line.get("beside", ())), line["expect"]
        got = [o for o in outs.get(last, []) if not (beside and str(o.get("text", "")).startswith(beside))]
        if len(got) != len(wanted):
            yield f"{last}: {len(wanted)} messages expected, {len(got)} came: {json.dumps(got, ensure_ascii=False)}"
            continue
        for want, have in zip(wanted, got, strict=True):
            for fault in _differences(want, have):
                yield f"{last}: {fault}; came: {json.dumps(have, ensure_ascii=False)}"


def _differences(want: Mapping[str, Any], have: Mapping[str, Any]) -> Iterator[str]:
    text = str(have.get("text", ""))
    yield from (f"{k} is not {want[k]!r}" for k in EQUAL if k in want and have.get(k) != want[k])
    if "at" in want and datetime.fromisoformat(want["at"]) != datetime.fromisoformat(have["at"]):
        yield f"not at {want['at']}"
    yield from (f"{w!r} is missing" for w in want.get("contains", ()) if w not in text)
    yield from (f"{w!r} should not be there" for w in want.get("lacks", ()) if w in text)
    if not text.startswith(want.get("starts", "")):
        yield f"does not start with {want['starts']!r}"
    if len(text.splitlines()) > want.get("most_lines", 99):
        yield f"more than {want['most_lines']} lines"
    for key in ("stored", "voided"):
        if key in want and not _same_items(want[key], have.get(key, [])):
            yield f"{key} is not {want[key]!r}"
    if not all(any(_has(item, each) for item in have.get("stored", [])) for each in want.get("stored_contains", ())):
        yield f"stored lacks one of {want['stored_contains']!r}"


def _same_items(want: Sequence[Mapping[str, Any]], have: Sequence[Mapping[str, Any]]) -> bool:
    if len(want) != len(have):
        return False
    if not want:
        return True
    rest = [(i, item) for i, item in enumerate(have) if _has(item, want[0])]
    return any(_same_items(want[1:], [*have[:i], *have[i + 1 :]]) for i, _ in rest)


def _has(item: Mapping[str, Any], keys: Mapping[str, Any]) -> bool:
    return all(k in item and _equal(v, item[k]) if v is not None else item.get(k) is None for k, v in keys.items())


def _equal(want: Any, have: Any) -> bool:
    if isinstance(want, int | float) and isinstance(have, int | float):
        return abs(want - have) <= 1e-6 * max(1.0, abs(want))
    return bool(want == have)
