"""A team's file with faults is refused whole, and every fault is said at once."""

from datetime import UTC, datetime

import pytest

from bot.store.database import open_database, rows
from bot.store.record import Refused, bring_in
from bot.store.teamfile import faults

NOW = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("team", "place"),
    [
        ([], '"team"'),
        ({"units": "imperial"}, "units"),
        ({"zone": "Mars/Olympus"}, "zone"),
        ({"zone": "../../etc/passwd"}, "zone"),
        ({"people": {}}, "people"),
        ({"people": ["ana"]}, "people 1"),
        ({"people": [{"name": "  "}]}, "people 1"),
        ({"people": [{"name": "ana", "role": "boss"}]}, "people 1 (ana), role"),
        ({"people": [{"name": "ana"}, {"name": "Ana"}]}, "people 2: 'Ana' stands there twice"),
        ({"tanks": [{"name": "Oak", "volume": 400}]}, "tanks 1 (Oak), volume"),
        ({"tanks": [{"name": "Oak", "volume": {"value": 0, "unit": "L"}}]}, "volume"),
        ({"tanks": [{"name": "Oak", "volume": {"value": float("nan"), "unit": "L"}}]}, "volume"),
        ({"tanks": [{"name": "Oak", "ranges": {"ph": {"low": "8"}}}]}, "ranges"),
        ({"tanks": [{"name": "Oak", "nicknames": "oak"}]}, "nicknames"),
        ({"clients": [{"name": "C", "water": [{"value": 2}]}]}, "water"),
        ({"vats": [{"name": "Vat A", "fills_at": "75 gal/day"}]}, "fills_at"),
    ],
    ids=str,
)
def test_each_fault_is_named_by_its_place(team, place):
    assert [fault for fault in faults(team) if place in fault], faults(team)


def test_all_faults_are_said_and_nothing_is_stored():
    db = open_database(":memory:")
    with pytest.raises(Refused) as refused:
        bring_in(db, {"team": {"units": "x", "tanks": [{}], "people": [{"name": "ana", "role": "x"}]}}, "ana", NOW)
    assert len(str(refused.value).splitlines()) == 4
    assert rows(db, "select * from message") == []


@pytest.mark.parametrize("record", [None, [], {"message": [5]}, {"message": [{"id": "x"}]}, {"numbers": [1]}], ids=str)
def test_a_record_of_another_form_is_refused_and_nothing_is_stored(record):
    db = open_database(":memory:")
    with pytest.raises(Refused, match=r"nothing is stored|was edited"):
        bring_in(db, {"team": {}, "record": record}, "ana", NOW)
    assert rows(db, "select * from message") == []


def test_the_demo_team_has_no_faults():
    import json
    from pathlib import Path

    demo = json.loads((Path(__file__).parent.parent.parent / "fixtures/demo/team.json").read_text(encoding="utf-8"))
    assert faults(demo["team"]) == []
