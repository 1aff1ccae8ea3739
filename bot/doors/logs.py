"""One JSON line an event, on standard error: never a message's text, never the token."""

from __future__ import annotations

import hashlib
import json
import logging
import re
from typing import Any

_TOKEN = re.compile(r"\b[0-9]{3,20}:[A-Za-z0-9_-]{3,100}")
log = logging.getLogger("bucketbell")


def set_up(level: int = logging.INFO, secrets: tuple[str, ...] = ()) -> None:
    """Logs in JSON lines from now on; libraries that log addresses, with the token in them, speak up only in need."""
    handler = logging.StreamHandler()
    handler.setFormatter(_Lines(secrets))
    logging.basicConfig(level=level, handlers=[handler], force=True)
    for name in ("httpx", "httpcore", "apscheduler", "telegram"):
        logging.getLogger(name).setLevel(logging.WARNING)


def event(what: str, level: int = logging.INFO, **more: Any) -> None:
    """Logs that something happened, with its numbers."""
    log.log(level, what, extra={"more": more})


def masked(chat: str) -> str:
    """A chat's number as eight letters that mean nothing elsewhere."""
    return hashlib.sha256(f"bucketbell {chat}".encode()).hexdigest()[:8]


def redacted(text: str, secrets: tuple[str, ...] = ()) -> str:
    """The text with every token, and the secrets named, blotted out."""
    for secret in secrets:
        text = text.replace(secret, "[secret]")
    return _TOKEN.sub("[token]", text)


class _Lines(logging.Formatter):
    def __init__(self, secrets: tuple[str, ...]) -> None:
        super().__init__()
        self._secrets = tuple(s for s in secrets if s)

    def format(self, record: logging.LogRecord) -> str:
        shown = {"at": self.formatTime(record, "%Y-%m-%dT%H:%M:%S%z"), "level": record.levelname.lower()}
        shown |= {"event": record.getMessage()} | getattr(record, "more", {})
        if record.exc_info:
            shown["fault"] = self.formatException(record.exc_info)
        return redacted(json.dumps(shown, ensure_ascii=False, default=str), self._secrets)
