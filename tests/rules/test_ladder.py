"""The ladder of an unanswered hurt wait: +2, +5, +10 minutes, then all of them every ten."""

from datetime import UTC, datetime, timedelta

from bot.rules import ladder

PINGED = datetime(2026, 3, 3, 10, 0, tzinfo=UTC)


def minutes(rung: int, name: str = "ladder") -> float:
    return (ladder.moment(PINGED, rung, name) - PINGED) / timedelta(minutes=1)


def test_it_climbs_at_two_five_and_ten_minutes_and_then_every_ten():
    assert [minutes(r) for r in range(6)] == [2, 5, 10, 20, 30, 40]


def test_the_holder_the_next_and_the_owner_are_asked_in_turn_then_all():
    assert [ladder.audience(r) for r in range(4)] == [("holder",), ("next",), ("owner",), ("holder", "next", "owner")]


def test_somebody_alone_is_missed_after_five_minutes_by_a_colleague_and_after_ten_by_the_owner():
    assert [(minutes(r, "alone"), ladder.audience(r, "alone")) for r in range(2)] == [(5, ("next",)), (10, ("owner",))]


def test_after_a_long_silence_of_the_bot_everybody_due_is_told_at_once():
    rung, told = ladder.climbed(PINGED, 0, PINGED + timedelta(minutes=11))
    assert (rung, told) == (3, ("holder", "next", "owner"))


def test_who_comes_next_is_whoever_is_there_then_the_backup_then_the_others():
    assert ladder.next_person("ana", ["ana", "ben"], "cleo", ["dora"]) == "ben"
    assert ladder.next_person("ana", ["ana"], "cleo", ["dora"]) == "cleo"
    assert ladder.next_person("ana", [], None, ["ana", "dora"]) == "dora"
    assert ladder.next_person("ana", [], None, ["ana"]) is None
