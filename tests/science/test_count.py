"""The sums are checked against the world outside often enough, and from enough sides."""

from __future__ import annotations

from collections import Counter

from bot.science.topics import TOPICS
from tests.science.count import capped, checks

BY_TOPIC, BY_SOURCE = (Counter(each) for each in zip(*checks(), strict=True))
NOT_A_SUM = {"other"}


def test_there_are_400_checks_even_if_no_source_counts_more_than_40_times():
    assert capped(BY_SOURCE) >= 400


def test_they_come_from_25_sources():
    assert len(BY_SOURCE) >= 25


def test_every_topic_has_at_least_eight():
    assert {topic: BY_TOPIC[topic] for topic in TOPICS if topic not in NOT_A_SUM and BY_TOPIC[topic] < 8} == {}
