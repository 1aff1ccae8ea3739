"""The plan by words: moved, left out, closed, given away; somebody sick; what is left today."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from bot.assistant import calendar
from bot.assistant.subjects import SUBJECTS
from bot.assistant.turn import Turn
from bot.items import Control, Schedule
from bot.store.roster import load_team
from tests.assistant.crew import CREW, Day
from tests.effort import calls_of

TUE, WED, THU = date(2026, 3, 10), date(2026, 3, 11), date(2026, 3, 12)


def plan(day: Day) -> calendar.Calendar:
    team = load_team(day.db)
    return calendar.now(Turn(day.db, 1, day.now, day.now, team.people[0], "x", team, SUBJECTS))


def visits(day: Day, on: date) -> dict[str, str | None]:
    return {p.tank.name: p.who for p in plan(day).planned(on)}


def test_each_person_sees_what_is_left_of_the_own_day():
    day = Day()
    assert "3 stops" in day.say("tomasz", "today")
    day.say("tomasz", "here quillow")
    day.say("tomasz", "78.4 ph 8.2 sg 1.0255")
    left = day.say("tomasz", "what's left today")
    assert "2 stops" in left and "Quillow" not in left


def test_the_office_sees_everybody_and_what_nobody_goes_to():
    day = Day()
    day.say("petra", "tomasz off thu")
    said = day.say("petra", "today")
    assert "Ines: 1 stop" in said and "Tomasz: 3 stops" in said


def test_a_moved_visit_is_quoted_from_old_to_new_and_whoever_goes_hears_of_it():
    day = Day()
    said = day.say("petra", "move quillow to thu am")
    assert "Quillow lobby" in said and "from today to Thu 12 Mar 08:00" in said
    assert visits(day, THU)["Quillow lobby"] == "tomasz" and "Quillow lobby" not in visits(day, TUE)
    told = [r for r in outbox_of(day, "tomasz") if "Quillow" in r]
    assert len(told) == 1


def test_undo_of_a_move_puts_the_visit_back():
    day = Day()
    day.say("petra", "move quillow to thu am")
    assert "visit moved" in day.say("petra", "undo")
    assert "Quillow lobby" in visits(day, TUE)


def test_a_move_that_breaks_the_promise_says_so():
    day = Day()
    day.say("tomasz", "quillow ph 8.1")
    assert "promised every 14" in day.say("petra", "move quillow to 3 april")


def test_a_visit_left_out_a_closed_day_and_another_person():
    day = Day()
    assert "next Tue 24 Mar" in day.say("petra", "skip vantree")
    assert "closed" in day.say("petra", "brindlemoor closed today")
    assert "Brindlemoor bar" not in visits(day, TUE)
    day.say("petra", "ines takes quillow")
    assert visits(day, TUE)["Quillow lobby"] == "ines"


def test_a_rule_said_in_words_stands_on_the_list():
    day = Day()
    assert "visits Fri every 7 days, next Fri 13 Mar" in day.say("petra", "quillow fri every week")
    assert load_team(day.db).tank("Quillow lobby").weekday == "fri"


def test_somebody_sick_moves_nothing_and_tells_nobody_before_the_press():
    day = Day()
    before = {d: visits(day, d) for d in (TUE, WED, THU)}
    said = day.say("petra", "tomasz is sick today")
    assert said.splitlines()[0].startswith("3 stops. Ines takes Tarnwick counter (+")
    assert said.splitlines()[-1] == "Nothing is told to anyone until you press."
    assert day.in_force() == [] and {d: visits(day, d) for d in (TUE, WED, THU)} == before
    assert outbox_of(day, "ines") == [] == outbox_of(day, "tomasz")


def test_after_the_press_every_promise_is_kept_and_those_who_take_over_know():
    day = Day()
    day.say("petra", "tomasz is sick today")
    promised = {p.tank.name: p.visit.latest for p in plan(day).planned(TUE)}
    day.press("petra", "Do it")
    kept = {p.tank.name: p.day for p in reversed(plan(day).planned(TUE, THU))}
    assert set(promised) <= set(kept) and all(kept[t] <= latest for t, latest in promised.items())
    assert "tomasz" not in visits(day, TUE).values() and None not in visits(day, TUE).values()
    assert outbox_of(day, "tomasz") == [] and "Tarnwick counter" in outbox_of(day, "ines")[0]


def test_a_press_acts_on_what_was_shown_else_it_is_shown_again():
    day = Day()
    day.say("petra", "tomasz is sick today")
    day.say("petra", "mara takes tarnwick")
    assert "2 stops" in day.press("petra", "Do it")
    assert not [i for i in day.in_force() if isinstance(i, Schedule) and i.subject == "sick"]
    day.press("petra", "Do it")
    assert visits(day, TUE) == {"Brindlemoor bar": "ines", "Tarnwick counter": "mara"}


def test_it_can_be_answered_by_the_words_of_the_buttons():
    day = Day()
    day.say("petra", "tomasz is sick today")
    assert "Vantree hall: Tomasz tomorrow" in day.say("petra", "show all")
    assert "Tomasz sick today" in day.say("petra", "do it")


def test_one_press_takes_it_all_back():
    day = Day()
    before = visits(day, TUE)
    day.say("petra", "tomasz is sick today")
    day.press("petra", "Do it")
    day.press("petra", "Undo")
    assert visits(day, TUE) == before


def test_what_nobody_has_room_for_is_named():
    alone = CREW | {"people": [p for p in CREW["people"] if p["name"] in ("tomasz", "petra")]}
    said = Day(alone).say("petra", "tomasz sick today")
    assert "nobody has room for Tarnwick counter" in said


def test_the_owner_is_only_asked_where_no_technician_has_room():
    busy = CREW | {"day_minutes": 100}
    assert "Mara takes Tarnwick counter (+60 min)?" in Day(busy).say("petra", "tomasz sick today")


def test_somebody_without_stops_is_noted_at_once():
    day = Day()
    assert "Kofi sick today, no stops then" in day.say("petra", "kofi sick today")
    assert [i.subject for i in day.in_force()] == ["sick"]


def test_somebody_who_is_back_has_the_own_visits_again():
    day = Day()
    day.say("petra", "tomasz off tue to thu")
    day.press("petra", "Do it")
    assert not plan(day).is_away("ines", WED) and plan(day).is_away("tomasz", THU)
    day.say("petra", "tomasz back thu")
    assert plan(day).is_away("tomasz", WED) and not plan(day).is_away("tomasz", THU)


def test_a_job_is_done_by_words_and_undone_by_undo():
    day = Day()
    day.say("petra", "order 3 strips")
    assert "order 3 strips" in day.say("petra", "today")
    assert "done: order 3 strips" in day.say("petra", "done order strips")
    assert "order 3 strips" not in day.say("petra", "today")
    day.say("petra", "undo")
    assert "order 3 strips" in day.say("petra", "today")


def test_what_is_ordered_is_the_offices_whoever_says_it():
    day = Day()
    day.say("ines", "order 3 strips")
    assert "order 3 strips" in day.say("petra", "today")
    assert "order" not in day.say("ines", "today")


def test_a_job_that_comes_again_keeps_its_past():
    day = Day()
    day.say("ines", "lamp vantree every 9 months")
    day.say("ines", "done lamp vantree")
    (done,) = [i for i in day.in_force() if isinstance(i, Control) and i.action == "done"]
    assert done.reason and done.number
    day.now += timedelta(days=280)
    team = load_team(day.db)
    turn = Turn(day.db, 1, day.now, day.now, team.people[0], "x", team, SUBJECTS)
    from bot.assistant import jobs

    assert [j.text for j in jobs.still_open(turn)] == [done.reason]


def test_done_alone_is_still_about_a_wait():
    assert "Nothing of yours is waiting" in Day().say("ines", "done")


@pytest.mark.parametrize("hours", [1, 2])
def test_a_job_with_an_hour_pings_then_and_only_while_it_is_open(hours):
    day = Day()
    day.say("ines", f"remind me in {hours} hours call mara")
    assert "call mara" in day.wait(hours=hours)["ines"]
    day.say("ines", "remind me in 1 hour order gloves")
    day.say("ines", "done order gloves")
    assert "ines" not in day.wait(hours=1)


def outbox_of(day: Day, who: str) -> list[str]:
    sql = "select text from outbox where chat = ? and unasked = 1 order by id"
    return [row[0] for row in day.db.conn.execute(sql, [who])]


def test_proposals_for_a_big_team_come_at_once():
    day = Day()
    _, calls = calls_of(lambda: day.say("petra", "tomasz off 10 to 24 march"))
    assert calls < 500_000
