"""Every warning of the table can be called for, by words of its own, and ordinary messages call for none."""

import json
from pathlib import Path

import pytest

from bot.facts.load import table
from bot.rules import warnings
from bot.rules.warnings import Scene

READ = Path(__file__).parent.parent.parent / "fixtures" / "read"
ORDINARY = ("readings.jsonl", "numbers.jsonl", "names.jsonl")


def groups() -> set[str]:
    return set(table("words_warnings")["groups"])


def test_no_warning_asks_for_a_group_of_words_that_is_not_there():
    used = {
        name
        for row in table("warnings")["warning"] for when in row["when"]
        for key in ("all", "none", "doses") for either in when.get(key, ()) for name in either.split("|")
    }  # fmt: skip
    assert used <= groups()


def test_every_warning_is_one_line_of_the_screen():
    for row in table("warnings")["warning"]:
        assert len(row["says"]) <= 165, row["key"]
        assert row["form"] in ("STOP", "HOLD", "Watch")
        assert "story" in row or "topic" in row, row["key"]


def texts(name: str) -> list[str]:
    lines = (READ / name).read_text(encoding="utf-8").splitlines()
    rows = [json.loads(line) for line in lines if line.strip()]
    return [t for r in rows if (t := r.get("text") or r.get("input", {}).get("text"))]


def test_messages_of_plain_numbers_call_for_no_warning():
    said = [(t, [w.key for w in warnings.found(Scene(t, (), "reef", True))]) for name in ORDINARY for t in texts(name)]
    assert len(said) > 100
    assert [s for s in said if s[1]] == []


@pytest.mark.parametrize(
    ("text", "key"),
    [("dont boil the live rock", "rock_boiled"), ("never mix bleach and vinegar", "bleach_with_other"),
     ("half the sponges replaced", "all_media"), ("rinsed the sponges in tank water", "media_under_tap"),
     ("impeller cleaned, unplugged first", "pump_open"), ("fed frozen mysis to the fish", "flushed_or_frozen")],
)  # fmt: skip
def test_the_opposite_of_a_mistake_is_not_warned_about(text, key):
    assert key not in [w.key for w in warnings.found(Scene(text))]


def test_the_most_pressing_is_said_and_a_remark_only_once_a_day():
    scene = Scene("copper in, stirring the deep sand, heater out of the water", (), "reef", True)
    first = warnings.best(scene)
    assert first is not None and first.rank == min(w.rank for w in warnings.found(scene))
    watch = Scene("on the ladder")
    assert warnings.best(watch).key == "ladder"
    assert warnings.best(watch, {"ladder"}) is None
    stop = Scene("power strip is wet")
    assert warnings.best(stop, {"power_wet"}).key == "power_wet"
