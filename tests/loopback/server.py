"""A Bot API server of our own on this machine, in a thread: strict, recording, and as unreliable as a test asks for.

Written from the published description of the Bot API. `python -m tests.loopback.server PORT` runs one by itself.
"""

import asyncio
import random
import sys
import threading
import time
from dataclasses import dataclass

from tests.loopback.http import Drop, Request, answer, serve_connection
from tests.loopback.rules import Wrong
from tests.loopback.service import TOKEN, Called, Service

# How long is waited for what must come: only a bot that hangs ever uses it up, on however slow a machine.
PATIENCE_S = 90.0


@dataclass
class Fault:
    """What goes wrong with a call: a `status` with its answer, or `kind` hang, drop_before, drop_after, garbage."""

    kind: str = "status"
    status: int = 500
    retry_after: int | None = None
    seconds: float = 0.0
    description: str = "Internal Server Error"


class Loopback:
    """Start with `with Loopback() as server`; then let people talk and look at what the bot did."""

    def __init__(self, port=0):
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._port, self._faults, self._chaos, self.down = port, [], None, False
        self.service = Service()
        self.base_url = self.base_file_url = ""
        self._news = threading.Condition()
        self._writers = set()

    def __enter__(self):
        self._thread.start()
        self._server = self._on_loop(self._listen())
        self._port = self._server.sockets[0].getsockname()[1]
        self.base_url = f"http://127.0.0.1:{self._port}/bot"
        self.base_file_url = f"http://127.0.0.1:{self._port}/file/bot"
        return self

    def __exit__(self, *left):
        self._on_loop(self._stop())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()

    # --- people ---------------------------------------------------------------------------------------------------

    def person(self, number, name):
        return {"id": number, "is_bot": False, "first_name": name}

    def group(self, number, title="Team", topics=()):
        self.service.chats[number] = {"id": number, "type": "supergroup", "title": title, "is_forum": bool(topics)}
        self.service.topics[number] |= set(topics)
        return number

    def say(self, user, text, chat=None, **content):
        return self.send(user, chat, text=text, **content)

    def send(self, user, chat=None, **content):
        """A message of a person; returns the update."""
        if "topic" in content:
            content |= {"message_thread_id": content.pop("topic"), "is_topic_message": True}
        return self.do(lambda s: s.add_update("message", s.message(user, chat, **content)))

    def edit(self, update, text):
        message = update["message"] | {"text": text, "edit_date": int(time.time())}
        return self.do(lambda s: s.add_update("edited_message", message))

    def reply(self, user, sent, text):
        quoted = {"message_id": sent.message_id, "date": int(sent.at), "text": sent.text}
        chat = self.service.chats[sent.chat]
        return self.say(user, text, sent.chat, reply_to_message=quoted | {"chat": chat})

    def press(self, user, sent, label):
        return self.do(lambda s: s.press(user, sent, label))

    def press_data(self, user, chat, message_id, data):
        return self.do(lambda s: s.press_data(user, chat, message_id, data))

    def photo(self, user, content=b"\xff\xd8 picture", caption=None, **more):
        def act(service):
            file = service.add_file(content, "photo.jpg")
            sizes = [file | {"file_id": "small", "width": 90, "height": 60}, file | {"width": 1280, "height": 960}]
            said = {"photo": sizes} | ({"caption": caption} if caption else {}) | more
            return service.add_update("message", service.message(user, **said))

        return self.do(act)

    def voice(self, user, content=b"OggS sound"):
        def act(service):
            file = service.add_file(content, "voice.oga") | {"duration": 3}
            return service.add_update("message", service.message(user, voice=file))

        return self.do(act)

    def document(self, user, content, name, caption=None, size=None):
        def act(service):
            file = service.add_file(content, name) | {"file_name": name}
            if size is not None:
                file["file_size"] = size
            said = {"document": file} | ({"caption": caption} if caption else {})
            return service.add_update("message", service.message(user, **said))

        return self.do(act)

    def repeat(self, update):
        """Delivers an update a second time."""
        self.do(lambda s: (s.updates.append(update), s._news.set()))

    # --- faults ---------------------------------------------------------------------------------------------------

    def fail(self, method, fault, times=1):
        """The next calls of a method meet a fault."""
        self.do(lambda s: self._faults.extend([(method, fault)] * times))

    def chaos(self, seed, rate, faults):
        """From now on calls meet one of the faults at that rate; rate 0 ends it."""
        self._chaos = (random.Random(seed), rate, faults) if rate else None

    # --- what the bot did -----------------------------------------------------------------------------------------

    def sent(self, chat=None):
        return self.do(lambda s: [each for each in s.sent if chat is None or each.chat == chat])

    def calls(self, method=None):
        return self.do(lambda s: [each for each in s.calls if method in (None, each.method)])

    def waiting(self):
        return self.do(lambda s: len(s.updates))

    def until(self, check, seconds=PATIENCE_S):
        """Waits until `check(server)` is true, looking again after every call; fails after so many seconds."""
        ends = time.monotonic() + seconds
        while not (found := check(self)):
            left = ends - time.monotonic()
            assert left > 0, f"not within {seconds} s; sent: {[s.text for s in self.sent()][-5:]}"
            with self._news:
                self._news.wait(min(left, 0.05))
        return found

    def until_sent(self, count, chat=None, seconds=PATIENCE_S):
        return self.until(lambda s: (found := s.sent(chat)) and len(found) >= count and found, seconds)

    def do(self, act):
        async def run():
            return act(self.service)

        return self._on_loop(run())

    # --- the server -----------------------------------------------------------------------------------------------

    def _on_loop(self, what):
        return asyncio.run_coroutine_threadsafe(what, self._loop).result(PATIENCE_S)

    async def _listen(self):
        return await asyncio.start_server(self._connected, "127.0.0.1", self._port, limit=2**26)

    async def _stop(self):
        self._server.close()
        for writer in list(self._writers):
            writer.close()
        others = asyncio.all_tasks() - {asyncio.current_task()}
        for task in others:
            task.cancel()
        await asyncio.gather(*others, return_exceptions=True)

    async def _connected(self, reader, writer):
        self._writers.add(writer)
        try:
            await serve_connection(reader, writer, self._respond)
        except asyncio.CancelledError:
            writer.close()
        finally:
            self._writers.discard(writer)

    async def _respond(self, request: Request):
        if self.down:
            raise Drop
        if request.path.startswith(f"/file/bot{TOKEN}/"):
            file = self.service.files.get(request.path.rpartition("/")[2])
            return answer(200, file.content, "application/octet-stream") if file else answer(404, b"")
        if not request.path.startswith(f"/bot{TOKEN}/"):
            return answer(401, {"ok": False, "error_code": 401, "description": "Unauthorized"})
        return await self._call(request.path.rpartition("/")[2], request.params)

    async def _call(self, method, params):
        self.service.arrived[method] += 1
        fault = self._fault(method)
        if fault and fault.kind in ("hang", "drop_before"):
            self._note(method, params, fault.kind)
            await asyncio.sleep(fault.seconds)
            raise Drop
        if fault and fault.kind in ("status", "garbage"):
            self._note(method, params, f"fault {fault.status}")
            return _garbage() if fault.kind == "garbage" else _refusal(fault.status, fault.description, fault)
        try:
            result = await self.service.call(method, params)
            status, content, outcome = 200, {"ok": True, "result": result}, "ok"
        except Wrong as wrong:
            status, outcome = wrong.status, wrong.description
            content = {"ok": False, "error_code": status, "description": outcome, "parameters": wrong.parameters}
        self._note(method, params, f"{outcome}, answer lost" if fault else outcome)
        if fault:
            raise Drop
        return answer(status, content)

    def _fault(self, method):
        for at, (name, fault) in enumerate(self._faults):
            if name in (method, "*"):
                del self._faults[at]
                return fault
        if self._chaos and self._chaos[0].random() < self._chaos[1]:
            return self._chaos[0].choice(self._chaos[2])
        return None

    def _note(self, method, params, outcome):
        self.service.calls.append(Called(time.time(), method, params, outcome))
        with self._news:
            self._news.notify_all()


def _refusal(status, description, fault):
    content = {"ok": False, "error_code": status, "description": description}
    if fault.retry_after is not None:
        content["parameters"] = {"retry_after": fault.retry_after}
    return answer(status, content)


def _garbage():
    return answer(200, b"<html>not the service</html>", "text/html")


if __name__ == "__main__":
    with Loopback(int(sys.argv[1]) if len(sys.argv) > 1 else 0) as running:
        print(running.base_url, flush=True)
        threading.Event().wait()
