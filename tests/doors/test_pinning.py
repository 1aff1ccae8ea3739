"""Pinned cards: posted once a day, pinned without a sound, edited while they hold, silent about what stands."""

from __future__ import annotations

import asyncio
from datetime import timedelta
from typing import Any

from bot.doors.pinning import Pinner
from bot.store.database import add, writing
from tests.assistant.crew import CREW, Day

GROUPED = CREW | {"group": "-100", "tanks": [CREW["tanks"][0] | {"topic": "20"}, *CREW["tanks"][1:]]}


class Service:
    """Stands in for the chat service: what was called, with a message number for each post."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, dict[str, Any]]] = []

    async def __call__(self, method: str, **params: Any) -> Any:
        self.calls.append((method, params))
        return {"message_id": len(self.calls)}

    def of(self, method: str) -> list[dict[str, Any]]:
        return [params for name, params in self.calls if name == method]


def a_day(team: dict[str, Any] = CREW) -> tuple[Day, Service, Pinner]:
    day, service = Day(team), Service()
    with writing(day.db):
        for number, name in enumerate(("ines", "tomasz"), start=501):
            values = {"service": "telegram", "number": str(number), "person": name}
            add(day.db, "account", **values)
    return day, service, Pinner(day.db, service, lambda: day.now)


def look(pinner: Pinner) -> None:
    asyncio.run(pinner.look())


def test_each_persons_card_is_posted_and_pinned_without_a_sound():
    _, service, pinner = a_day()
    look(pinner)
    assert {p["chat_id"] for p in service.of("sendMessage")} == {501, 502}
    assert all(p["disable_notification"] for p in service.of("sendMessage") + service.of("pinChatMessage"))
    assert len(service.of("pinChatMessage")) == 2


def test_a_card_that_stands_is_left_alone_and_a_change_edits_it():
    day, service, pinner = a_day()
    look(pinner)
    look(pinner)
    assert len(service.of("sendMessage")) == 2 and service.of("editMessageText") == []
    day.say("ines", "brindlemoor net in bleach")
    look(pinner)
    (edited,) = service.of("editMessageText")
    assert "Brindlemoor bar: net in bleach" in edited["text"] and edited["chat_id"] == 501


def test_the_next_day_it_is_fresh():
    day, service, pinner = a_day()
    look(pinner)
    day.now += timedelta(days=7)
    look(pinner)
    assert [p["chat_id"] for p in service.of("sendMessage")].count(501) == 2


def test_a_tanks_topic_has_its_open_points_and_nothing_about_people():
    day, service, pinner = a_day(GROUPED)
    day.say("tomasz", "quillow return pump off")
    look(pinner)
    (card,) = [p for p in service.of("sendMessage") if p.get("message_thread_id") == 20]
    assert card["text"].startswith("Quillow lobby") and "return pump off" in card["text"]
    assert "omasz" not in card["text"]


def test_a_chat_that_refuses_is_not_tried_again_and_again():
    class Refuses(Service):
        async def __call__(self, method: str, **params: Any) -> Any:
            await super().__call__(method, **params)
            raise ValueError("not enough rights")

    day, _, _ = a_day()
    service = Refuses()
    pinner = Pinner(day.db, service, lambda: day.now)
    look(pinner)
    tried = len(service.calls)
    look(pinner)
    assert len(service.calls) == tried > 0
