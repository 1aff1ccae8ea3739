"""The published limits, as the platform notes 1.4 give them: 30 a second in all, 20 a minute in a group."""

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.doors.pace import Gate, Window, Windows


def sent_at(gate, number, times, urgent=False):
    """When each of so many messages goes, sent as early as the gate lets them."""
    now, went = 0.0, []
    for _ in range(times):
        now += gate.wait(number, now, urgent)
        gate.take(number, now)
        went.append(now)
    return went


def most_within(times, seconds):
    return max(sum(start <= t < start + seconds for t in times) for start in times)


def test_a_group_never_gets_more_than_twenty_a_minute():
    times = sent_at(Gate(), "-5", 90, urgent=True)
    assert most_within(times, 60) == 20


def test_all_chats_together_never_get_more_than_thirty_a_second_and_nearly_that_many():
    gate, now, times = Gate(), 0.0, []
    for number in range(300):
        now += gate.wait(str(number), now, True)
        gate.take(str(number), now)
        times.append(now)
    assert most_within(times, 1.0) == 30
    assert times[-1] < 300 / 27


def test_a_private_chat_gets_a_short_burst_and_then_one_a_second():
    times = sent_at(Gate(), "11", 20, urgent=True)
    assert times[3] == 0.0 and most_within(times, 4.0) <= 4


def test_plain_messages_leave_room_for_a_ping():
    gate = Gate()
    times = sent_at(gate, "-5", 15)
    assert gate.wait("-5", times[-1]) > 10 and gate.wait("-5", times[-1], urgent=True) == 0.0


def test_one_chat_at_its_limit_leaves_the_others_alone():
    gate = Gate()
    for _ in range(4):
        gate.take("11", 0.0)
    assert gate.wait("11", 0.0, True) > 0 and gate.wait("12", 0.0) == 0.0


@settings(max_examples=50)
@given(st.lists(st.floats(0, 20), min_size=1, max_size=60), st.integers(1, 5), st.floats(0.5, 5))
def test_a_window_is_never_overfull_whatever_the_arrivals(gaps, limit, seconds):
    window, now, times = Window(limit, seconds), 0.0, []
    for gap in gaps:
        now += gap / 10
        now += window.wait(now)
        window.take(now)
        times.append(now)
    assert most_within(times, seconds * 0.999) <= limit


def test_names_not_used_for_long_are_forgotten():
    windows = Windows(lambda _: Window(1, 10.0), most=3)
    assert all(windows.allows(name, 0.0) for name in "abcd")
    assert not windows.allows("d", 1.0) and windows.allows("a", 1.0)
