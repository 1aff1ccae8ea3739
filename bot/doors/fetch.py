"""Pictures and documents that people send: fetched at once, under a name of our own, beside the database."""

from __future__ import annotations

import asyncio
import re
import shutil
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from bot.doors.translate import Attachment
from bot.wording import service

MOST_BYTES = 20_000_000  # what the service hands a bot (published limit)
FREE_BYTES = 200_000_000  # left on the disk for the record itself
TRIES, FIRST_DELAY_S = 4, 1.0


@dataclass(frozen=True)
class Fetched:
    """Where the file stands now; or, with `path` None, the sentence to say about it. `heard`: the words of a note."""

    path: Path | None
    sentence: str = ""
    heard: str = ""


class Fetcher:
    """Fetches into `folder`; `get` brings the content of a file of the service."""

    def __init__(self, folder: Path, get: Callable[[str], Awaitable[bytes]], first_delay_s: float = FIRST_DELAY_S):
        self._folder, self._get, self._first_delay_s = folder, get, first_delay_s

    async def fetch(self, attachment: Attachment, number: int, at: datetime) -> Fetched:
        """The file of update `number`; refused with a sentence where it is too large or the disk too full."""
        name = clean(attachment.name)
        if attachment.size > MOST_BYTES:
            return Fetched(None, service.too_large(name, attachment.size, MOST_BYTES))
        if not self._has_room(attachment.size):
            return Fetched(None, service.disk_is_full(name))
        content = await self._content(attachment)
        if content is None:
            return Fetched(None, service.not_fetched(name))
        try:
            return Fetched(self._keep(content, f"{number}-{name}", at))
        except OSError:
            return Fetched(None, service.disk_is_full(name))

    async def _content(self, attachment: Attachment) -> bytes | None:
        for attempt in range(TRIES):
            try:
                content = await self._get(attachment.file_id)
                return content if len(content) <= MOST_BYTES else None
            except Exception:
                await asyncio.sleep(self._first_delay_s * 2**attempt)
        return None

    def _has_room(self, size: int) -> bool:
        self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        return shutil.disk_usage(self._folder).free > size + FREE_BYTES

    def _keep(self, content: bytes, name: str, at: datetime) -> Path:
        """Written whole under another name first, so that no half file ever carries the right one."""
        month = self._folder / at.strftime("%Y-%m")
        month.mkdir(parents=True, exist_ok=True, mode=0o700)
        part = month / f"{name}.part"
        part.write_bytes(content)
        part.chmod(0o600)
        return part.rename(month / name)


def clean(name: str) -> str:
    """The sender's name of a file without anything that could lead elsewhere: letters, digits, - and _, one ending."""
    base = name.replace("\\", "/").rpartition("/")[2]
    stem, _, ending = base.rpartition(".") if "." in base.strip(".") else (base, "", "")
    stem = re.sub(r"[^A-Za-z0-9_-]+", "_", stem).strip("_")[:60] or "file"
    ending = re.sub(r"[^A-Za-z0-9]+", "", ending)[:8].lower()
    return f"{stem}.{ending}" if ending else stem
