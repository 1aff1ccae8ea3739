"""The fixtures are data that a technician extends: each line must be one that the tests can use."""

import json
import re
from collections import Counter
from dataclasses import fields
from datetime import datetime
from pathlib import Path

import pytest

from bot.items import KINDS
from tests.test_facts import CONTRACT_UNITS, PARAMETERS

FIXTURES = Path(__file__).parent.parent / "fixtures"
FILES = sorted(FIXTURES.rglob("*.jsonl"))
FIELDS = {kind: {field.name for field in fields(shape)} for kind, shape in KINDS.items()}
MATCHED = re.compile("_(contains|between|prefix|values)$")  # how tests/understanding compares a field loosely
STEPS = {"team", "at", "down_until", "restart", "expect"}
HAPPENINGS = {"text", "edit", "press", "photo", "file", "restart", "down_until"}
TANK_KINDS = {
    "marine fish-only", "reef", "syngnathid", "cold marine", "brackish", "tropical community", "soft water",
    "rift lake", "goldfish or pond", "quarantine",
}  # fmt: skip
# Names under .example are nobody's (RFC 2606).
UNWANTED = re.compile(
    r"sea\s?horse|pipe\s?fish|(?<![\w.])/(?:[a-z]+/){2}|https?://(?![\w.-]*\.example\b)", re.IGNORECASE
)


def lines(path: Path):
    """The objects of a JSON lines file with their line numbers; blank lines are allowed."""
    return [(n, json.loads(text)) for n, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1) if text]


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FIXTURES)))
def test_each_line_is_one_object(path):
    assert all(isinstance(row, dict) for _, row in lines(path))


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FIXTURES)))
def test_no_fixture_names_an_address_of_the_net_or_of_a_machine(path):
    assert UNWANTED.findall(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(FIXTURES)))
def test_no_two_cases_of_a_file_share_an_id(path):
    ids = Counter(row["id"] for _, row in lines(path) if "id" in row)
    assert [each for each, times in ids.items() if times > 1] == []


@pytest.mark.parametrize("path", sorted((FIXTURES / "read").glob("*.jsonl")), ids=lambda p: p.name)
def test_each_accepted_meaning_is_made_of_known_items(path):
    for number, row in lines(path):
        for item in (item for accepted in row.get("accept", []) for item in accepted):
            names = {MATCHED.sub("", key) for key in item} - {"kind"}
            assert names <= FIELDS[item["kind"]], f"{path.name}:{number} {item}"
            assert item.get("parameter", "ph") in PARAMETERS, f"{path.name}:{number} {item}"
            assert (item.get("unit") or "") in CONTRACT_UNITS, f"{path.name}:{number} {item}"


@pytest.mark.parametrize("path", sorted((FIXTURES / "replay").glob("*.jsonl")), ids=lambda p: p.name)
def test_the_clock_of_a_conversation_never_runs_backwards(path):
    clock = [datetime.fromisoformat(row["at"]) for _, row in lines(path) if "at" in row]
    assert clock == sorted(clock)


@pytest.mark.parametrize("path", sorted((FIXTURES / "replay").glob("*.jsonl")), ids=lambda p: p.name)
def test_each_step_of_a_conversation_is_of_a_known_form(path):
    for number, row in lines(path):
        assert STEPS & set(row), f"{path.name}:{number}"
        assert "who" not in row or HAPPENINGS & set(row), f"{path.name}:{number} someone acts, but does nothing"


def test_the_demo_team_has_only_what_the_contract_names():
    team = json.loads((FIXTURES / "demo" / "team.json").read_text(encoding="utf-8"))["team"]
    assert UNWANTED.findall(json.dumps(team)) == []
    assert {p["role"] for p in team["people"]} >= {"technician", "office", "owner"}
    clients = {c["name"] for c in team["clients"]}
    assert {t["client"] for t in team["tanks"] if "client" in t} <= clients
    assert {t["kind"] for t in team["tanks"]} <= TANK_KINDS
    names = [each["name"] for group in ("people", "clients", "tanks", "vats") for each in team[group]]
    assert len(names) == len(set(names))


def test_no_nickname_of_the_demo_team_means_two_tanks():
    team = json.loads((FIXTURES / "demo" / "team.json").read_text(encoding="utf-8"))["team"]
    said = [nick.casefold() for tank in team["tanks"] for nick in tank.get("nicknames", [])]
    assert len(said) == len(set(said))
