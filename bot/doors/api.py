"""The chat service's interface through the library: named calls with plain answers, and nothing retried here."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

from telegram import Bot, InputFile
from telegram.request import HTTPXRequest

from bot.doors.settings import Settings

UPDATES = ("message", "edited_message", "callback_query")


class Api:
    """One bot at one Bot API server. Errors are those of telegram.error; a refused token is InvalidToken."""

    def __init__(self, settings: Settings) -> None:
        warnings.filterwarnings("ignore", message="Please use 'Bot")
        self._requests = (_request(1), _request(16))
        named: dict[str, Any] = {"base_url": settings.base_url, "base_file_url": settings.base_file_url}
        self._bot = Bot(
            settings.token,
            get_updates_request=self._requests[0],
            request=self._requests[1],
            **{k: v for k, v in named.items() if v},
        )

    async def call(self, method: str, **params: Any) -> Any:
        """The result of a method, as the service writes it; parameters that are None are left out."""
        return await self._bot.do_api_request(method, api_kwargs={k: v for k, v in params.items() if v is not None})

    async def updates(self, offset: int, seconds: int) -> list[dict[str, Any]]:
        """Updates from `offset` on, waited for up to `seconds`; raw."""
        found = await self._bot.do_api_request(
            "getUpdates",
            api_kwargs={"offset": offset, "timeout": seconds, "allowed_updates": UPDATES},
            read_timeout=seconds + 10.0,
        )
        return list(found)

    async def fetch(self, file_id: str) -> bytes:
        """The content of a file that somebody sent."""
        file = await self._bot.get_file(file_id)
        return bytes(await file.download_as_bytearray())

    async def close(self) -> None:
        """Lets the connections go."""
        for request in self._requests:
            await request.shutdown()


def _request(connections: int) -> HTTPXRequest:
    """With the time-outs that a mobile or satellite link needs; the library's own 5 s are too short for it."""
    return HTTPXRequest(connections, read_timeout=20.0, write_timeout=20.0, connect_timeout=15.0, pool_timeout=15.0)


def upload(path: Path) -> InputFile:
    """A file of ours to be sent along."""
    return InputFile(path.read_bytes(), filename=path.name)
