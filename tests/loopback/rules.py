"""What the published description of the Bot API refuses: lengths, entities, HTML, keyboards; checks raise Wrong."""

import json
import re
from html.parser import HTMLParser

TEXT, CAPTION, DATA, ANSWER = 4096, 1024, 64, 200
PHOTO_BYTES, FILE_BYTES, DOWNLOAD_BYTES = 10_000_000, 50_000_000, 20_000_000
TAGS = {"b", "strong", "i", "em", "u", "ins", "s", "strike", "del", "code", "pre", "a", "blockquote", "tg-spoiler"}
KNOWN = {
    "getMe": set(),
    "getUpdates": {"offset", "limit", "timeout", "allowed_updates"},
    "setMyCommands": {"commands", "scope", "language_code"},
    "setWebhook": {"url", "secret_token", "allowed_updates", "drop_pending_updates", "max_connections"},
    "deleteWebhook": {"drop_pending_updates"},
    "getWebhookInfo": set(),
    "answerCallbackQuery": {"callback_query_id", "text", "show_alert"},
    "getFile": {"file_id"},
    "sendChatAction": {"chat_id", "message_thread_id", "action"},
}
_SENT = {"chat_id", "message_thread_id", "disable_notification", "reply_parameters", "reply_markup", "parse_mode"}
KNOWN |= {
    "sendMessage": _SENT | {"text", "entities", "link_preview_options"},
    "sendPhoto": _SENT | {"photo", "caption", "caption_entities"},
    "sendDocument": _SENT | {"document", "caption", "caption_entities"},
    "editMessageText": {"chat_id", "message_id", "text", "entities", "parse_mode", "reply_markup"},
    "editMessageReplyMarkup": {"chat_id", "message_id", "reply_markup"},
    "deleteMessage": {"chat_id", "message_id"},
    "pinChatMessage": {"chat_id", "message_id", "disable_notification"},
    "unpinChatMessage": {"chat_id", "message_id"},
}


# What a chat may be shown to be doing (published list).
ACTIONS = frozenset({
    "typing", "upload_photo", "record_video", "upload_video", "record_voice", "upload_voice", "upload_document",
    "choose_sticker", "find_location", "record_video_note", "upload_video_note",
})  # fmt: skip


class Wrong(Exception):
    """A refused call: its status, description, and parameters such as retry_after."""

    def __init__(self, description, status=400, **parameters):
        super().__init__(description)
        self.description, self.status, self.parameters = description, status, parameters


def loaded(params, *names):
    """The parameters with those named read as JSON, where they are text."""
    return {k: json.loads(v) if k in names and isinstance(v, str) else v for k, v in params.items()}


def units(text):
    return len(text.encode("utf-16-le")) // 2


def check_text(text, params, most, entities_name="entities"):
    """A text or caption with its entities or its HTML; returns the text that people see."""
    shown = _html(text) if params.get("parse_mode") == "HTML" else text
    if params.get("parse_mode") not in (None, "HTML"):
        raise Wrong("Bad Request: unsupported parse_mode")
    if units(shown) > most:
        raise Wrong("Bad Request: message is too long" if most == TEXT else "Bad Request: message caption is too long")
    for entity in loaded(params, entities_name).get(entities_name) or []:
        if entity["offset"] < 0 or entity["length"] < 1 or entity["offset"] + entity["length"] > units(shown):
            raise Wrong("Bad Request: entity beyond the end of the text")
    return shown


def check_message(text, params):
    if not text or not text.strip():
        raise Wrong("Bad Request: message text is empty")
    return check_text(text, params, TEXT)


def check_keyboard(markup):
    """Buttons of an inline keyboard, as (label, data) rows."""
    rows = (markup or {}).get("inline_keyboard", [])
    if sum(map(len, rows)) > 100 or any(len(row) > 8 for row in rows):
        raise Wrong("Bad Request: reply markup is too long")
    for button in (b for row in rows for b in row):
        if not button.get("text"):
            raise Wrong("Bad Request: text buttons are not allowed in the inline keyboard")
        if not 1 <= len(button["callback_data"].encode()) <= DATA:
            raise Wrong("Bad Request: BUTTON_DATA_INVALID")
    return [(b["text"], b["callback_data"]) for row in rows for b in row]


def check_commands(commands):
    if len(commands) > 100:
        raise Wrong("Bad Request: BOT_COMMANDS_TOO_MUCH")
    for each in commands:
        if not re.fullmatch(r"[a-z0-9_]{1,32}", each["command"]):
            raise Wrong("Bad Request: BOT_COMMAND_INVALID")
        if not 1 <= len(each["description"]) <= 256:
            raise Wrong("Bad Request: BOT_COMMAND_DESCRIPTION_INVALID")


def _html(text):
    if re.search(r"<(?![a-z/])", text) or re.search(r"&(?!(lt|gt|amp|quot|#\d+|#x[0-9a-fA-F]+);)", text):
        raise Wrong("Bad Request: can't parse entities: unsupported start tag")
    reader = _Tags()
    reader.feed(text)
    if reader.open:
        raise Wrong("Bad Request: can't parse entities: can't find end tag")
    return "".join(reader.seen)


class _Tags(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.seen = [], []

    def handle_starttag(self, tag, attrs):
        if tag not in TAGS:
            raise Wrong(f'Bad Request: can\'t parse entities: unsupported start tag "{tag}"')
        self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            raise Wrong("Bad Request: can't parse entities: unmatched end tag")

    def handle_data(self, data):
        self.seen.append(data)
