"""The other way for updates to come: the chat service calls us. Stored first, answered 200 only then."""

from __future__ import annotations

import hmac
import json
import logging
import sqlite3

from bot.doors import logs
from bot.doors.intake import Intake
from bot.doors.signs import Signs
from bot.doors.web import Answer, Request
from bot.store.faults import fault_in_words

SECRET_HEADER = "x-telegram-bot-api-secret-token"


class Webhook:
    """Answers the service's calls at `path`; without the right secret nothing is even read."""

    def __init__(self, path: str, secret: str, intake: Intake, signs: Signs) -> None:
        self._path, self._secret, self._intake, self._signs = path, secret.encode(), intake, signs

    async def answer(self, request: Request) -> Answer:
        """200 once the update is on disk; 403, 400 and the like for what is none; 503 for "send it again"."""
        if request.path != self._path:
            return Answer(404)
        if request.method != "POST":
            return Answer(405)
        given = request.headers.get(SECRET_HEADER, "").encode("utf-8", "replace")
        if not hmac.compare_digest(given, self._secret):
            self._signs.counts["webhook_refused"] += 1
            return Answer(403)
        try:
            update = json.loads(request.body)
        except ValueError:
            return Answer(400)
        return self._store(update)

    def _store(self, update: object) -> Answer:
        try:
            return Answer(200 if self._intake.take([update]) else 400)
        except sqlite3.Error as fault:
            self._signs.trouble = fault_in_words(fault) or str(fault)
            logs.event("update not taken", logging.ERROR, why=str(fault))
            return Answer(503)
