"""False alarms and delay, measured on simulated reefs read once a week, beside a plain threshold.

`python -m tests.rules.test_readings_simulated` prints the whole table; the tests hold its main figures. The noise of
an instrument is normal, with two thirds of its usual error as standard deviation: 87 readings in 100 lie within it.
"""

import random
from statistics import median

import pytest

from bot.rules.ranges import error_of, range_for
from tests.rules.simulated import LIVES, REEF, changed, readings, verdicts

NOISE = 0.67
FROM = 20
TREND, ANY = {"leaving", "run"}, {"leaving", "run", "outside", "alarm", "unlike"}
NAMES = [life.parameter for life in LIVES]


def false_alarms(life, kinds, tanks=20, weeks=52, noise=NOISE):
    """How many readings in 100 of level tanks draw one of the kinds."""
    said = [v for seed in range(tanks) for v in verdicts(life, readings(life, weeks, random.Random(seed), noise))]
    return 100 * sum(bool(each & kinds) for each in said) / len(said)


def threshold_alarms(life, tanks=20, weeks=52, noise=NOISE):
    """The same for a plain threshold at the ends of the range."""
    limits = range_for(REEF, life.parameter)
    values = [v for seed in range(tanks) for v in readings(life, weeks, random.Random(seed), noise)]
    return 100 * sum(not limits.low <= v <= limits.high for v in values) / len(values)


def warned_after(life, weeks_to_limit, side, tanks=40):
    """Weeks from the start of a drift to the first word, ours and the plain threshold's (median of the tanks)."""
    limits = range_for(REEF, life.parameter)
    gap = limits.high - life.level if side == "high" else limits.low - life.level
    drifting = changed(life, drift_a_week=gap / weeks_to_limit, from_week=FROM)
    ours, plain = [], []
    for seed in range(tanks):
        values = readings(drifting, 70, random.Random(seed), NOISE)
        said = verdicts(drifting, values)
        ours.append(next(w - FROM for w in range(FROM, 70) if said[w] & ANY))
        plain.append(next(w - FROM for w in range(FROM, 70) if not limits.low <= values[w] <= limits.high))
    return median(ours), median(plain)


def caught_at_once(life, errors, tanks=60):
    """Of 100 falls by so many instrument errors, how many are called unlike at the very first reading."""
    falling = changed(life, jump=-errors * error_of(life.parameter, life.level), from_week=FROM)
    said = [verdicts(falling, readings(falling, FROM + 1, random.Random(seed), NOISE))[FROM] for seed in range(tanks)]
    return 100 * sum("unlike" in each for each in said) / tanks


@pytest.mark.parametrize("life", LIVES, ids=NAMES)
def test_a_level_tank_is_called_unlike_itself_less_than_once_in_a_hundred_readings(life):
    assert false_alarms(life, {"unlike"}) < 1


@pytest.mark.parametrize("life", LIVES, ids=NAMES)
def test_a_level_tank_seems_to_drift_in_at_most_two_of_a_hundred_readings(life):
    assert false_alarms(life, TREND) < 2.2


@pytest.mark.parametrize(
    "life", [x for x in LIVES if x.parameter != "nitrate"], ids=[n for n in NAMES if n != "nitrate"]
)
def test_a_fall_by_eight_errors_is_always_asked_about_at_once(life):
    assert caught_at_once(life, 8) == 100
    assert caught_at_once(life, 5) > 75


@pytest.mark.parametrize("side", ["low", "high"])
def test_a_drift_that_the_instrument_can_tell_is_told_weeks_before_the_range_is_left(side):
    alkalinity = LIVES[0]
    ours, plain = warned_after(alkalinity, 12, side)
    assert ours <= plain - 2


def table():
    """The whole of it as text."""
    rows = ["false alarms in 100 readings (level tank)    unlike  trend  outside  plain threshold"]
    for life in LIVES:
        found = [false_alarms(life, kinds) for kinds in ({"unlike"}, TREND, {"outside", "alarm"})]
        rows.append(f"{life.parameter:<42}" + "".join(f"{v:8.1f}" for v in (*found, threshold_alarms(life))))
    rows.append("weeks to the first word, drift of 12 weeks to the limit: ours, plain threshold")
    for life in LIVES:
        pairs = [warned_after(life, 12, side) for side in ("low", "high")]
        rows.append(f"{life.parameter:<42}" + "   ".join(f"{a:4.1f} {b:4.1f}" for a, b in pairs))
    rows.append("falls called unlike at once, in 100: 3, 5, 8 errors")
    for life in LIVES:
        rows.append(f"{life.parameter:<42}" + "".join(f"{caught_at_once(life, e):8.0f}" for e in (3, 5, 8)))
    return "\n".join(rows)


if __name__ == "__main__":
    print(table())
