"""The other way for updates to come: the service calls us. Stored before it is told so; nothing without the secret."""

import json
from urllib.error import HTTPError
from urllib.request import Request, urlopen

import pytest

from tests.doors.test_telegram import all_rows
from tests.loopback.server import PATIENCE_S

SECRET = "a-secret-of-enough-letters"


@pytest.fixture
def hook(server, serving):
    serving.environ["BUCKETBELL_WEBHOOK_SECRET"] = SECRET
    serving.environ["options"] = {
        "webhook_url": "https://bot.example/hook",
        "webhook_listen": "127.0.0.1:0",
    }
    serving.start()
    server.until(lambda s: s.calls("setWebhook"))
    return f"http://127.0.0.1:{serving.port(server)}/hook"


def post(url, body, secret=SECRET):
    content = body if isinstance(body, bytes) else json.dumps(body).encode()
    headers = {"X-Telegram-Bot-Api-Secret-Token": secret} if secret else {}
    try:
        with urlopen(Request(url, content, headers), timeout=PATIENCE_S) as answer:
            return answer.status
    except HTTPError as refused:
        return refused.code


def test_an_update_is_stored_and_answered(server, serving, hook, path, ana):
    assert server.service.webhook["secret_token"] == SECRET and server.service.webhook["max_connections"] == "1"
    assert not server.calls("getUpdates") and not server.calls("deleteWebhook")
    update = server.say(ana, "ph 8.2")
    assert post(hook, update) == 200
    assert post(hook, update) == 200
    server.until_sent(1)
    serving.stop()
    assert len(all_rows(path, "inbox")) == 1 and len(server.sent()) == 1


@pytest.mark.parametrize("secret", [None, "", "wrong-secret-of-some-length", SECRET + "x", "é"])
def test_without_the_secret_nothing_is_taken(server, serving, hook, path, ana, secret):
    assert post(hook, server.say(ana, "ph 8.2"), secret) == 403
    serving.stop()
    assert all_rows(path, "inbox") == []


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b"5", b'{"update_id": "x"}', b'{"message": {}}'])
def test_what_is_no_update_is_refused_and_does_no_harm(server, hook, ana, body):
    assert post(hook, body) == 400
    assert post(hook, server.say(ana, "still there?")) == 200
    server.until_sent(1)


def test_other_paths_and_large_bodies_are_refused(hook):
    assert post(hook + "/more", b"{}") == 404
    assert post(hook, b"x" * 1_100_000) in (413, 400)
