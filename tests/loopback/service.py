"""A chat service with one bot: chats, messages, updates waiting, what the bot called. Time is the machine's."""

import asyncio
import itertools
import time
from collections import Counter, defaultdict, deque
from dataclasses import dataclass, field

from tests.loopback import rules
from tests.loopback.http import Upload
from tests.loopback.rules import Wrong, loaded

TOKEN = "424242:loopback-token_for_tests"
ME = {"id": 424242, "is_bot": True, "first_name": "Pail", "username": "pail_bot"}


@dataclass
class Sent:
    """A message of the bot as people see it."""

    chat: int
    message_id: int
    text: str
    buttons: list
    silent: bool
    topic: int | None
    reply_to: int | None
    at: float
    file: Upload | None = None
    kind: str = "text"
    bold: list = field(default_factory=list)
    edits: int = 0


@dataclass
class Called:
    """A call of the bot: when, what, with what, and what came of it."""

    at: float
    method: str
    params: dict
    outcome: str


class Service:
    def __init__(self):
        self.updates, self.handed_out = deque(), set()
        self.chats, self.sent, self.calls, self.violations = {}, [], [], []
        self.files, self.topics, self.blocked, self.moved = {}, defaultdict(set), set(), {}
        self.arrived = Counter()
        self.queries, self.answered, self.webhook, self.commands = {}, [], {}, []
        self.secret = None
        self._next_update, self._next_message = itertools.count(700_000), itertools.count(1)
        self._news = asyncio.Event()
        self._poll = 0
        self._paces = defaultdict(deque)

    # --- what people do -------------------------------------------------------------------------------------------

    def add_update(self, kind, content):
        update = {"update_id": next(self._next_update), kind: content}
        self.updates.append(update)
        self._news.set()
        return update

    def message(self, user, chat=None, message_id=None, **content):
        """A message of a person, as the service describes it."""
        place = self.chats.setdefault(chat or user["id"], {"id": user["id"], "type": "private"})
        number = message_id or next(self._next_message)
        date = content.pop("date", None) or int(time.time())
        return {"message_id": number, "date": date, "chat": place, "from": user, **content}

    def press(self, user, sent, label):
        data = next(data for text, data in sent.buttons if text == label)
        return self.press_data(user, sent.chat, sent.message_id, data)

    def press_data(self, user, chat, message_id, data):
        query = str(next(self._next_message))
        self.queries[query] = time.time()
        message = {"message_id": message_id, "date": int(time.time()), "chat": self.chats[chat], "from": ME}
        content = {"id": query, "from": user, "chat_instance": "1", "data": data, "message": message}
        return self.add_update("callback_query", content)

    def add_file(self, content, name):
        file_id = f"file{len(self.files)}"
        self.files[file_id] = Upload(name, content)
        return {"file_id": file_id, "file_unique_id": f"u{file_id}", "file_size": len(content)}

    # --- what the bot calls ---------------------------------------------------------------------------------------

    async def call(self, method, params):
        """The result of a call; raises Wrong."""
        unknown = set(params) - rules.KNOWN.get(method, set(params))
        if unknown:
            self.violations.append(f"{method}: unknown parameters {sorted(unknown)}")
        act = getattr(self, f"do_{method}", None)
        if act is None:
            raise Wrong("Not Found: method not found", 404)
        result = act(params)
        return await result if asyncio.iscoroutine(result) else result

    def do_getMe(self, params):
        return ME

    def do_setMyCommands(self, params):
        self.commands = loaded(params, "commands")["commands"]
        rules.check_commands(self.commands)
        return True

    def do_deleteWebhook(self, params):
        self.webhook = {}
        return True

    def do_setWebhook(self, params):
        self.webhook = dict(params)
        return True

    def do_getWebhookInfo(self, params):
        return {"url": self.webhook.get("url", ""), "pending_update_count": len(self.updates)}

    async def do_getUpdates(self, params):
        if self.webhook:
            raise Wrong("Conflict: can't use getUpdates method while webhook is active", 409)
        self._poll += 1
        mine, offset = self._poll, int(params.get("offset", 0))
        self._news.set()
        while self.updates and offset and self.updates[0].get("update_id", 0) < offset:
            self.updates.popleft()
        ends = time.monotonic() + min(50, int(params.get("timeout", 0)))
        while not self.updates and (left := ends - time.monotonic()) > 0:
            self._news.clear()
            try:
                await asyncio.wait_for(self._news.wait(), left)
            except TimeoutError:
                break
            if self._poll != mine:
                raise Wrong("Conflict: terminated by other getUpdates request", 409)
        return list(itertools.islice(self.updates, int(params.get("limit", 100))))

    def do_answerCallbackQuery(self, params):
        if self.queries.pop(params["callback_query_id"], 0) < time.time() - 15:
            raise Wrong("Bad Request: query is too old and response timeout expired or query ID is invalid")
        self.answered.append(dict(params))
        return True

    def do_sendMessage(self, params):
        place = self._may_send(params)
        return self._add(place, rules.check_message(params.get("text"), params), params, "entities")

    def do_sendPhoto(self, params):
        return self._send_file(params, "photo", rules.PHOTO_BYTES)

    def do_sendDocument(self, params):
        return self._send_file(params, "document", rules.FILE_BYTES)

    def do_sendChatAction(self, params):
        self._may_send(params)
        if params.get("action") not in rules.ACTIONS:
            raise Wrong("Bad Request: wrong parameter action in request")
        return True

    def do_editMessageText(self, params):
        sent = self._own(params)
        text, buttons = rules.check_message(params["text"], params), self._buttons(params)
        if (text, buttons) == (sent.text, sent.buttons):
            raise Wrong("Bad Request: message is not modified")
        sent.text, sent.buttons, sent.edits = text, buttons, sent.edits + 1
        return self._shown(sent)

    def do_editMessageReplyMarkup(self, params):
        sent, buttons = self._own(params), self._buttons(params)
        if buttons == sent.buttons:
            raise Wrong("Bad Request: message is not modified")
        sent.buttons = buttons
        return self._shown(sent)

    def do_deleteMessage(self, params):
        self.sent.remove(self._own(params))
        return True

    def do_pinChatMessage(self, params):
        self._own(params)
        return True

    def do_getFile(self, params):
        file = self.files.get(params["file_id"])
        if file is None:
            raise Wrong("Bad Request: wrong file_id or the file is temporarily unavailable")
        if len(file.content) > rules.DOWNLOAD_BYTES:
            raise Wrong("Bad Request: file is too big")
        return {"file_id": params["file_id"], "file_unique_id": "u", "file_path": f"docs/{params['file_id']}"}

    # --- helpers --------------------------------------------------------------------------------------------------

    def _may_send(self, params):
        chat = int(params["chat_id"])
        if chat in self.moved:
            new = self.moved[chat]
            raise Wrong("Bad Request: group chat was upgraded to a supergroup chat", migrate_to_chat_id=new)
        if chat in self.blocked:
            raise Wrong("Forbidden: bot was blocked by the user", 403)
        if chat not in self.chats:
            raise Wrong("Bad Request: chat not found")
        thread = params.get("message_thread_id")
        if thread and int(thread) not in self.topics[chat]:
            raise Wrong("Bad Request: message thread not found")
        self._watch_pace(chat)
        return self.chats[chat]

    def _watch_pace(self, chat):
        """Notes where the published limits are left: 30 a second in all, 20 a minute in a group, bursts in a chat."""
        group = chat < 0
        for key, most, seconds in (("all", 30, 1.0), (chat, 20, 60.0) if group else (chat, 5, 3.0)):
            times, now = self._paces[key], time.monotonic()
            times.append(now)
            while times[0] <= now - seconds:
                times.popleft()
            if len(times) > most:
                self.violations.append(f"pace of {key}: {len(times)} in {seconds} s")

    def _send_file(self, params, kind, most):
        place, file = self._may_send(params), params.get(kind)
        if isinstance(file, str) and file.startswith("attach://"):
            file = params[file.removeprefix("attach://")]
        if not isinstance(file, Upload):
            raise Wrong(f"Bad Request: there is no {kind} in the request")
        if len(file.content) > most:
            raise Wrong("Request Entity Too Large", 413)
        caption = rules.check_text(params.get("caption") or "", params, rules.CAPTION, "caption_entities")
        return self._add(place, caption, params, "caption_entities", file=file, kind=kind)

    def _buttons(self, params):
        return rules.check_keyboard(loaded(params, "reply_markup").get("reply_markup"))

    def _add(self, place, text, params, entities, **more):
        reply = loaded(params, "reply_parameters").get("reply_parameters") or {}
        bold = loaded(params, entities).get(entities) or []
        sent = Sent(
            chat=place["id"], message_id=next(self._next_message), text=text, buttons=self._buttons(params),
            silent=str(params.get("disable_notification", "")).lower() == "true",
            topic=int(params["message_thread_id"]) if params.get("message_thread_id") else None,
            reply_to=reply.get("message_id"), at=time.time(),
            bold=[text[e["offset"] : e["offset"] + e["length"]] for e in bold], **more,
        )  # fmt: skip
        self.sent.append(sent)
        return self._shown(sent)

    def _own(self, params):
        wanted = (int(params["chat_id"]), int(params["message_id"]))
        for sent in self.sent:
            if (sent.chat, sent.message_id) == wanted:
                return sent
        raise Wrong("Bad Request: message to edit not found")

    def _shown(self, sent):
        message = {"message_id": sent.message_id, "date": int(sent.at), "chat": self.chats[sent.chat], "from": ME}
        message["text"] = sent.text
        if sent.buttons:
            rows = [[{"text": label, "callback_data": data} for label, data in sent.buttons]]
            message["reply_markup"] = {"inline_keyboard": rows}
        return message
