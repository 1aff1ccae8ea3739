"""A message of ours as calls of the chat service, and what an error of the service means for it. Pure."""

from __future__ import annotations

import sqlite3
import warnings
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from telegram.error import BadRequest, ChatMigrated, Forbidden, RetryAfter, TelegramError

from bot.messages import Button, Outgoing

# Published limits of the service, in UTF-16 units, bytes and buttons a row.
TEXT, CAPTION, DATA_BYTES, IN_A_ROW, PHOTO_BYTES = 4096, 1024, 64, 3, 10_000_000
PICTURES = frozenset({".png", ".jpg", ".jpeg"})


@dataclass(frozen=True)
class Call:
    """One call: `file` is uploaded under the parameter `kind` (photo or document)."""

    method: str
    params: Mapping[str, Any]
    file: Path | None = None
    kind: str | None = None


def calls(message: Outgoing, number: str, bold: Iterable[str] = ()) -> list[Call]:
    """The calls that deliver a message to the chat of that number, in order; buttons stand under its last words."""
    files = [Path(name) for name in message.files]
    common = _common(message, number)
    keyboard = _keyboard(message.buttons)
    if len(files) == 1 and message.text and length(message.text) <= CAPTION:
        caption = {"caption": message.text, "caption_entities": _bold(message.text, bold)}
        return [_file(files[0], common | caption | keyboard)]
    texts = split(message.text) if message.text else []
    said = [Call("sendMessage", common | {"text": t, "entities": _bold(t, bold)}) for t in texts]
    if said:
        said[-1] = Call("sendMessage", dict(said[-1].params) | keyboard)
    return said + [_file(path, common) for path in files]


@dataclass(frozen=True)
class Verdict:
    """What to do about an error: `again` (in `seconds` where the service says), `moved` to the chat `text`,
    `delivered` all the same, without its `topic`, or `park` for the reason `text`."""

    what: str
    seconds: float | None = None
    text: str = ""


def verdict(error: Exception) -> Verdict:
    """What an error of the service means for the message that met it."""
    match error:
        case RetryAfter():
            return Verdict("again", asked_to_wait(error))
        case ChatMigrated():
            return Verdict("moved", text=str(error.new_chat_id))
        case BadRequest() if "not modified" in error.message.casefold():
            return Verdict("delivered")
        case BadRequest() if "thread not found" in error.message.casefold():
            return Verdict("topic")
        case BadRequest() | Forbidden():
            return Verdict("park", text=error.message)
        case TelegramError() if "too large" in error.message.casefold():
            return Verdict("park", text=error.message)
        case TelegramError() | sqlite3.Error():
            return Verdict("again")
    return Verdict("park", text=f"{type(error).__name__}: {error}")


def asked_to_wait(error: RetryAfter) -> float:
    """The seconds that the service asks for; the library gives them as a number now and as a span later."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        given = error.retry_after
    return float(given) if isinstance(given, int) else given.total_seconds()


def length(text: str) -> int:
    """How long the service counts a text: UTF-16 units."""
    return len(text.encode("utf-16-le")) // 2


def split(text: str, most: int = TEXT) -> list[str]:
    """The text in parts of at most `most` units, cut at line ends where there are any, else at a space."""
    parts = []
    while length(text) > most:
        fits = _first(text, most)
        cut = max(fits.rfind("\n"), 0) or max(fits.rfind(" "), 0) or len(fits)
        parts.append(text[:cut].rstrip())
        text = text[cut:].lstrip("\n ")
    return [part for part in (*parts, text) if part]


def _first(text: str, units: int) -> str:
    """As many whole characters from the front as fit into so many units."""
    return text.encode("utf-16-le")[: units * 2].decode("utf-16-le", errors="ignore")


def _common(message: Outgoing, number: str) -> dict[str, Any]:
    params: dict[str, Any] = {"chat_id": int(number), "disable_notification": not message.sound}
    if message.topic:
        params["message_thread_id"] = int(message.topic)
    if message.reply_to:
        replied = int(message.reply_to.rpartition(":")[2])
        params["reply_parameters"] = {"message_id": replied, "allow_sending_without_reply": True}
    return params


def _keyboard(buttons: Sequence[Button]) -> dict[str, Any]:
    fit = [b for b in buttons if 1 <= len(b.data.encode()) <= DATA_BYTES]
    shown = [{"text": b.label, "callback_data": b.data} for b in fit]
    rows = [shown[at : at + IN_A_ROW] for at in range(0, len(shown), IN_A_ROW)]
    return {"reply_markup": {"inline_keyboard": rows}} if rows else {}


def _bold(text: str, names: Iterable[str]) -> list[dict[str, Any]] | None:
    """The first tank's name in the first line, and nothing else, in bold."""
    first = text.partition("\n")[0]
    found = sorted((first.find(name), -len(name), name) for name in names if name and name in first)
    if not found:
        return None
    at, _, name = found[0]
    return [{"type": "bold", "offset": length(text[:at]), "length": length(name)}]


def _file(path: Path, params: Mapping[str, Any]) -> Call:
    small = path.is_file() and path.stat().st_size <= PHOTO_BYTES
    kind = "photo" if path.suffix.casefold() in PICTURES and small else "document"
    return Call(f"send{kind.capitalize()}", params, path, kind)
