"""A raw update of the chat service as an Arrival: who, where, what; still in the service's own numbers. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from bot.messages import Edited, Happening, Incoming, Pressed

LATE = timedelta(seconds=3)  # below this the time of arrival is as good as the service's whole seconds


@dataclass(frozen=True)
class Attachment:
    """A picture, document or voice note as the service names it; `name` is the sender's own, not to be trusted."""

    file_id: str
    unique_id: str
    name: str
    size: int
    is_photo: bool
    is_voice: bool = False


@dataclass(frozen=True)
class Arrival:
    """What an update says. `kind`: message, edited, pressed or moved (a group under its new number `text`)."""

    kind: str
    user: str
    given_name: str
    chat: str
    private: bool
    ref: str | None
    text: str = ""
    date: datetime | None = None
    reply_to: str | None = None
    topic: str | None = None
    attachment: Attachment | None = None
    unread: str | None = None
    query: str | None = None


def arrival(update: Mapping[str, Any], username: str) -> Arrival | None:
    """The update as an Arrival; None where it is nothing to answer (a service message, another bot's command).

    Raises KeyError, TypeError or ValueError on an update that the service's own description does not allow.
    """
    if query := update.get("callback_query"):
        return _press(query)
    kind = "message" if "message" in update else "edited"
    message = update.get("message") or update.get("edited_message")
    if message is None or "from" not in message:
        return None
    if "migrate_to_chat_id" in message and chat_number(update).startswith("-"):
        return _head("moved", message, text=_group_number(message["migrate_to_chat_id"]))
    return None if message["from"].get("is_bot") else _message(kind, message, username)


def _group_number(told: object) -> str:
    if isinstance(told, bool) or not isinstance(told, int) or told >= 0:
        raise ValueError(f"No number of a group: {told!r}")
    return str(told)


def chat_number(update: Mapping[str, Any]) -> str:
    """The number of the chat that an update belongs to, "" where it names none; never raises."""
    inner: Any = update.get("message") or update.get("edited_message") or update.get("callback_query") or {}
    inner = inner.get("message", inner) if isinstance(inner, Mapping) else {}
    chat = inner.get("chat", {}) if isinstance(inner, Mapping) else {}
    return str(chat.get("id", "")) if isinstance(chat, Mapping) else ""


def sender_number(update: Mapping[str, Any]) -> str:
    """The number of whoever sent an update, "" where it names nobody; never raises."""
    inner: Any = update.get("message") or update.get("edited_message") or update.get("callback_query") or {}
    sender = inner.get("from", {}) if isinstance(inner, Mapping) else {}
    return str(sender.get("id", "")) if isinstance(sender, Mapping) else ""


def start_payload(text: str) -> str | None:
    """What stands behind /start; None where the text is no /start, or a bare one."""
    found = re.fullmatch(r"/start\s+(\S{1,64})\s*", text)
    return found[1] if found else None


def happening(
    arrived: Arrival, who: str, chat: str, at: datetime, photo: str | None = None, file: str | None = None,
    heard: str | None = None,
) -> Happening:  # fmt: skip
    """The arrival in the words of the house: by person and chat name, `sent_at` where it is on its way for long.

    heard   the words of a voice note, which take the place of its text
    """
    if arrived.kind == "pressed":
        return Pressed(at, who, chat, arrived.text, arrived.ref)
    ref = arrived.ref or ""
    if arrived.kind == "edited":
        return Edited(at, who, chat, arrived.text, ref)
    late = arrived.date is not None and at - arrived.date >= LATE
    return Incoming(
        at, who, chat, heard or arrived.text, ref, reply_to=arrived.reply_to, sent_at=arrived.date if late else None,
        photo=photo, file=file, topic=arrived.topic, group=not arrived.private, heard=heard is not None,
    )  # fmt: skip


# What a message may hold that nobody here can read, and what it is called to its sender.
UNREAD = {
    "audio": "a sound file", "video": "a video", "video_note": "a video",
    "animation": "an animation", "sticker": "a sticker", "location": "a location", "venue": "a place",
    "contact": "a contact", "poll": "a poll", "dice": "dice", "story": "a story",
}  # fmt: skip


def _press(query: Mapping[str, Any]) -> Arrival | None:
    message, data = query.get("message"), query.get("data")
    if not message or not isinstance(data, str):
        return None
    chat, sender = message["chat"], query["from"]
    ref = reference(chat["id"], message["message_id"])
    private = chat["type"] == "private"
    return Arrival(
        "pressed", str(int(sender["id"])), str(sender.get("first_name", "")), str(int(chat["id"])), private, ref,
        data, query=str(query["id"]),
    )  # fmt: skip


def reference(chat: int | str, message_id: int | str) -> str:
    """The name of a message, unique for good: a new account or a moved group may count its messages anew."""
    return f"{int(chat)}:{int(message_id)}"


def _message(kind: str, message: Mapping[str, Any], username: str) -> Arrival | None:
    text = _said(message.get("text") or message.get("caption") or "", username)
    attachment = _attachment(message)
    unread = next((UNREAD[key] for key in UNREAD if key in message), None)
    if text is None or not (text or attachment or unread):
        return None
    topic = message.get("message_thread_id") if message.get("is_topic_message") else None
    return _head(
        kind, message, text=text, reply_to=_replied(message), topic=str(topic) if topic else None,
        attachment=attachment, unread=unread,
    )  # fmt: skip


def _head(kind: str, message: Mapping[str, Any], **more: Any) -> Arrival:
    chat, sender = message["chat"], message["from"]
    return Arrival(
        kind, str(int(sender["id"])), str(sender.get("first_name", "")), str(int(chat["id"])),
        chat["type"] == "private", reference(chat["id"], message["message_id"]),
        date=datetime.fromtimestamp(int(message["date"]), UTC), **more,
    )  # fmt: skip


def _said(text: str, username: str) -> str | None:
    """The words meant for this bot: its own @name taken away, a shortcut as the word that it stands for.

    "/undo@our_bot" is "undo", "/start x" stays; None for a command to another bot.
    """
    command = re.match(r"/([A-Za-z0-9_]{1,32})(?:@(\w+))?(?=\s|$)", text)
    if command is None:
        return re.sub(rf"@{re.escape(username)}\b[:,]?", "", text, flags=re.IGNORECASE).strip() if username else text
    word, to = command[1], command[2]
    if to and to.casefold() != username.casefold():
        return None
    rest = text[command.end() :]
    return f"/start{rest}" if word.casefold() == "start" else word.replace("_", " ") + rest


def _replied(message: Mapping[str, Any]) -> str | None:
    """The message replied to; a first message in a topic replies to the topic's own beginning, which is none."""
    replied = message.get("reply_to_message")
    if not replied or "forum_topic_created" in replied:
        return None
    return reference(replied["chat"]["id"], replied["message_id"])


def _attachment(message: Mapping[str, Any]) -> Attachment | None:
    if sizes := message.get("photo"):
        largest = max(sizes, key=lambda size: int(size["width"]) * int(size["height"]))
        return _file(largest, "photo.jpg", True)
    if voice := message.get("voice"):
        return replace(_file(voice, "voice.ogg", False), is_voice=True)
    if (document := message.get("document")) and "animation" not in message:
        name = str(document.get("file_name") or "file")
        return _file(document, name, str(document.get("mime_type", "")).startswith("image/"))
    return None


def _file(file: Mapping[str, Any], name: str, is_photo: bool) -> Attachment:
    unique = str(file["file_unique_id"])
    return Attachment(str(file["file_id"]), unique, name, int(file.get("file_size") or 0), is_photo)
