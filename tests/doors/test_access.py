"""Who gets in by which code: the label of a front desk opens a page to tell us something, and no more."""

from datetime import UTC, datetime

from bot.assistant.desk import handle
from bot.doors.access import Access
from bot.doors.translate import Arrival
from bot.messages import Incoming
from bot.rules.labels import desk_label
from bot.store import accounts
from bot.store.database import add, open_database, rows, writing
from bot.store.roster import load_team, set_up_team

NOW = datetime(2026, 3, 10, 13, 0, tzinfo=UTC)
TOKEN = "abcdefghijklmn"
TEAM = {
    "name": "Test round",
    "phone": "555-0100",
    "tools": {desk_label("Elm House"): TOKEN},
    "people": [{"name": "ana", "role": "technician"}, {"name": "cleo", "role": "office"}],
    "clients": [{"name": "Elm House"}],
    "tanks": [{"name": "Elm lobby", "client": "Elm House"}],
}


def test_whoever_scans_the_label_of_a_desk_is_its_desk_and_nobody_of_the_team():
    db, told = open_database(":memory:"), []
    with writing(db):
        cause = add(db, "message", kind="import", chat="", who="", at=NOW, stored_at=NOW, text="team")
        set_up_team(db, cause, TEAM)
        access = Access(db, lambda number, text: told.append(text), lambda: 0.0)
        for number in ("77", "78"):
            access.stranger(Arrival("message", number, "Rena", number, True, f"{number}:1", f"/start {TOKEN}"), NOW)
    team = load_team(db)
    assert [d.name for d in team.desks] == ["Elm House desk", "Elm House desk 2"] and told == []
    assert accounts.person_of(db, "77") == "Elm House desk" and team.person("Elm House desk") is None
    handle(db, Incoming(NOW, "Elm House desk", "Elm House desk", "pump is silent", "77:2"))
    said = [(row["chat"], row["text"]) for row in rows(db, "select chat, text from outbox order by id")]
    assert said[0][1].startswith("Elm House: tell us what you see") and "Call 555-0100 at once" in said[0][1]
    assert any(chat == "cleo" and '"pump is silent"' in text for chat, text in said)
    assert not any(chat == "ana" for chat, _ in said)
