"""What the service must be told before it starts: where the token is, which file, which Bot API server."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

TOKEN, TOKEN_FILE = "BUCKETBELL_TOKEN", "BUCKETBELL_TOKEN_FILE"
DB, BASE_URL, BASE_FILE_URL = "BUCKETBELL_DB", "BUCKETBELL_BASE_URL", "BUCKETBELL_BASE_FILE_URL"
SECRET, SECRET_FILE = "BUCKETBELL_WEBHOOK_SECRET", "BUCKETBELL_WEBHOOK_SECRET_FILE"
TRANSCRIBER = "BUCKETBELL_TRANSCRIBER"
DEFAULT_DB = "bucketbell.db"

T = TypeVar("T")
_TOKEN_SHAPE = re.compile(r"[0-9]{1,20}:[A-Za-z0-9_-]{3,100}")
_SECRET_SHAPE = re.compile(r"[A-Za-z0-9_-]{16,256}")


class Unusable(Exception):
    """Settings that cannot stand; each of `lines` names one variable or file and what to do about it."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


@dataclass(frozen=True)
class Hook:
    """Where the service is to call us (a public https address), and where we listen for what a proxy hands on."""

    url: str
    host: str
    port: int


@dataclass(frozen=True)
class Copies:
    """Where copies of the database go, and how many hours lie between two."""

    folder: Path
    hours: float = 24.0


@dataclass(frozen=True)
class Settings:
    """Everything checked and ready. Neither the token nor the secret shows in the printed form."""

    token: str = field(repr=False)
    db: Path
    copies: Copies
    base_url: str | None = None
    base_file_url: str | None = None
    webhook: Hook | None = None
    webhook_secret: str | None = field(default=None, repr=False)
    health_port: int | None = None
    transcriber: tuple[str, ...] = ()


def from_environ(environ: Mapping[str, str], options: Mapping[str, str | None] | None = None) -> Settings:
    """The settings of `serve`: options by the names of the fields go before the environment. Raises Unusable."""
    said = {k: v for k, v in (options or {}).items() if v}
    faults: list[str] = []
    token = _attempt(faults, lambda: _secret(environ, TOKEN, TOKEN_FILE, _TOKEN_SHAPE, _NO_TOKEN)) or ""
    secret = _attempt(faults, lambda: _secret(environ, SECRET, SECRET_FILE, _SECRET_SHAPE, None))
    base = _attempt(faults, lambda: _url(said.get("base_url") or environ.get(BASE_URL), BASE_URL))
    files = _attempt(faults, lambda: _url(said.get("base_file_url") or environ.get(BASE_FILE_URL), BASE_FILE_URL))
    hook = _attempt(faults, lambda: _hook(said, secret))
    port = _attempt(faults, lambda: _number(said.get("health_port"), "--health-port", 0, 65_535))
    hours = _attempt(faults, lambda: _number(said.get("copy_hours"), "--copy-hours", 0.01, 8_760))
    hears = _attempt(faults, lambda: _command(said.get("transcriber") or environ.get(TRANSCRIBER)))
    if faults:
        raise Unusable(*faults)
    db = database_path(environ, said.get("db"))
    return Settings(
        token, db, Copies(copies_folder(db, said.get("copies")), hours or 24.0), base, files or _file_url(base),
        hook, secret, None if port is None else int(port), hears or (),
    )  # fmt: skip


def database_path(environ: Mapping[str, str], option: str | None = None) -> Path:
    """The file of the team: the option, else BUCKETBELL_DB, else bucketbell.db in the working folder."""
    return Path(option or environ.get(DB) or DEFAULT_DB).expanduser()


def copies_folder(db: Path, option: str | None = None) -> Path:
    """Where copies of that database go: the option, else a folder beside it."""
    return Path(option).expanduser() if option else db.with_name(db.name + ".copies")


_NO_TOKEN = (
    f"No token: set {TOKEN}, or {TOKEN_FILE} to the path of a file that holds it. "
    "The chat service gives you the token when you register the bot there."
)


def _attempt(faults: list[str], get: Callable[[], T | None]) -> T | None:
    try:
        return get()
    except Unusable as fault:
        faults.extend(fault.lines)
        return None


def _secret(
    environ: Mapping[str, str], name: str, file_name: str, shape: re.Pattern[str], missing: str | None
) -> str | None:
    """The secret of a variable or of the file that a second variable names; its text never stands in an error."""
    if environ.get(name) and environ.get(file_name):
        raise Unusable(f"Both {name} and {file_name} are set: keep one of them.")
    where = name if environ.get(name) else f"{environ.get(file_name)} (named by {file_name})"
    text = environ.get(name) or _read(environ.get(file_name), file_name)
    if text is None:
        if missing:
            raise Unusable(missing)
        return None
    if not shape.fullmatch(text.strip()):
        raise Unusable(f"What {where} holds is not of the right form ({_FORMS[name]}): copy it again, without quotes.")
    return text.strip()


_FORMS = {
    TOKEN: "digits, a colon, then letters, digits, - and _",
    SECRET: "16 to 256 letters, digits, - and _",
}


def _read(path: str | None, file_name: str) -> str | None:
    if not path:
        return None
    try:
        return Path(path).expanduser().read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        why = fault.strerror if isinstance(fault, OSError) else "not a text file"
        raise Unusable(f"Cannot read {path} (named by {file_name}): {why}.") from None


def _command(text: str | None) -> tuple[str, ...]:
    """A program with its options, as they would be typed; it is started without a shell."""
    try:
        words = tuple(shlex.split(text or ""))
    except ValueError:
        raise Unusable(f"{TRANSCRIBER} has a quote without its end: {text}") from None
    if words and shutil.which(words[0]) is None:
        raise Unusable(f"{TRANSCRIBER}: there is no program {words[0]}. Give its whole path, or leave it unset.")
    return words


def _url(text: str | None, name: str) -> str | None:
    if not text:
        return None
    if not re.fullmatch(r"https?://[^\s/]+(/\S*)?", text):
        raise Unusable(f"{name} is {text!r}: it must begin with http:// or https:// and name a server.")
    return text.rstrip("/")


def _hook(said: Mapping[str, str], secret: str | None) -> Hook | None:
    url = said.get("webhook_url")
    if not url:
        return None
    if not url.startswith("https://"):
        raise Unusable(f"--webhook-url is {url!r}: the chat service calls https:// addresses only.")
    if not secret:
        raise Unusable(f"--webhook-url needs a secret: set {SECRET} or {SECRET_FILE} (16 letters and digits or more).")
    host, _, port = said.get("webhook_listen", "127.0.0.1:8080").rpartition(":")
    return Hook(url, host or "127.0.0.1", int(_number(port, "the port of --webhook-listen", 0, 65_535) or 0))


def _number(text: str | None, name: str, low: float, high: float) -> float | None:
    if not text:
        return None
    if not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,3})?", text) or not low <= float(text) <= high:
        raise Unusable(f"{name} is {text!r}: it must be a number from {low:g} to {high:g}.")
    return float(text)


def _file_url(base_url: str | None) -> str | None:
    """Where the files of another Bot API server are by custom: .../bot becomes .../file/bot."""
    return base_url.removesuffix("/bot") + "/file/bot" if base_url and base_url.endswith("/bot") else None
