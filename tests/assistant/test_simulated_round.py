"""A whole day of four people and twenty tanks, and a month of days: within the budget, nothing promised lost, every
exception in the owner's card.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, datetime, timedelta

import pytest

from bot.facts.load import table
from tests.assistant.simulated import Round

ROLES = {"ines": "technician", "tomasz": "technician", "petra": "office", "mara": "owner"}
AUDIBLE = {"technician": 2, "office": 2, "owner": 2}


def over_budget(played: Round, day: str) -> list[str]:
    said = played.said_unasked(day)
    count, loud = Counter(r["chat"] for r in said), Counter(r["chat"] for r in said if r["sound"])
    budget = table("cards")["budget"]
    faults = [f"{day} {who}: {n} unasked" for who, n in count.items() if n > budget[ROLES[who]]]
    return faults + [f"{day} {who}: {n} audible" for who, n in loud.items() if n > AUDIBLE[ROLES[who]]]


def owner_heard(played: Round, day: str) -> str:
    """The owner's cards of that evening and the next morning."""
    following = (date.fromisoformat(day) + timedelta(days=1)).isoformat()
    cards = [*played.said_unasked(day), *played.said_unasked(following)]
    return "\n".join(r["text"] for r in cards if r["chat"] == "mara")


def test_one_day_of_four_people_and_twenty_tanks():
    played = Round(3, "2026-03-10T05:00", ("tue",))
    played.say("petra", "todo alder hall: replace carbon")
    played.say("petra", "todo fern bar: clean skimmer")
    promised = {p.tank.name for p in played.plan().planned(date(2026, 3, 10))}
    assert len(promised) == 20
    played.work_day("2026-03-10")
    assert over_budget(played, "2026-03-10") == []
    visited = {s.tank for s in played.plan().seen_on(date(2026, 3, 10))}
    heard = owner_heard(played, "2026-03-10")
    assert all(name in visited or name in heard for name in promised)
    cards = {r["chat"]: r["text"] for r in played.said_unasked("2026-03-10") if r["text"].startswith("Tue, ")}
    assert set(cards) <= {"ines", "tomasz"} and all(len(c.splitlines()) <= 5 for c in cards.values())


@pytest.mark.parametrize("seed", [1])
def test_a_month_of_days(seed):
    played = Round(seed, "2026-03-10T09:01")
    days = [date(2026, 3, 11) + timedelta(days=n) for n in range(30)]
    working = [d.isoformat() for d in days if d.weekday() < 5]
    late_ever, missed = [], []
    for day in working:
        played.work_day(day)
        heard = owner_heard(played, day)
        plan = played.plan()
        undone = [p.tank.name for p in plan.planned(plan.today) if p.day == plan.today]
        missed += [f"{day} {name}" for name in undone if name not in heard]
        late_ever += [p.tank.name for p in plan.planned(plan.today) if p.visit.is_late]
    played.until(played.now + timedelta(days=1))
    assert [f for day in working for f in over_budget(played, day)] == []
    assert missed == []
    unheard = [(d, words) for d, words in played.exceptions if words not in owner_heard(played, d)]
    assert len(played.exceptions) >= 3 and unheard == []
    assert sum(s.day.isoformat() in working for each in played.plan().seen.values() for s in each) > 60
    assert late_ever == []
    assert loud_at_night(played) == []
    cards = [r["text"] for d in working for r in played.said_unasked(d) if r["chat"] == "mara"]
    assert all(len(c.splitlines()) <= 5 for c in cards)
    false = [c for c in cards if "Watch:" in c and "pH 7.5" not in c]
    assert len(false) <= len(cards) / 10


def loud_at_night(played: Round) -> list[str]:
    """What made a sound between 19:00 and 06:30."""
    found = played.db.conn.execute(
        "select text, created_at as at from outbox where sound = 1 and unasked = 1"
    ).fetchall()
    clocks = [(r["text"], datetime.fromtimestamp(r["at"], played.now.tzinfo)) for r in found]
    return [text for text, at in clocks if at.hour >= 19 or (at.hour, at.minute) < (6, 30)]
