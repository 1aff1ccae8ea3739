"""What the service must be told before it starts: where the token is, which file, which Bot API server."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

TOKEN, TOKEN_FILE = "BUCKETBELL_TOKEN", "BUCKETBELL_TOKEN_FILE"
DB, BASE_URL, BASE_FILE_URL = "BUCKETBELL_DB", "BUCKETBELL_BASE_URL", "BUCKETBELL_BASE_FILE_URL"
SECRET, SECRET_FILE = "BUCKETBELL_WEBHOOK_SECRET", "BUCKETBELL_WEBHOOK_SECRET_FILE"
DEFAULT_DB = "bucketbell.db"

_TOKEN_SHAPE = re.compile(r"[0-9]{1,20}:[A-Za-z0-9_-]{3,100}")
_SECRET_SHAPE = re.compile(r"[A-Za-z0-9_-]{16,256}")


class Unusable(Exception):
    """Settings that cannot stand; each of `lines` names one variable or file and what to do about it."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


@dataclass(frozen=True)
class Settings:
    """Everything checked and ready. Neither the token nor the secret shows in the printed form."""

    token: str = field(repr=False)
    db: Path
    base_url: str | None = None
    base_file_url: str | None = None
    webhook_secret: str | None = field(default=None, repr=False)


def from_environ(environ: Mapping[str, str], options: Mapping[str, str | None] | None = None) -> Settings:
    """The settings of `serve`: options by the names of the fields go before the environment. Raises Unusable."""
    said = {k: v for k, v in (options or {}).items() if v}
    faults: list[str] = []
    token = _attempt(faults, lambda: _secret(environ, TOKEN, TOKEN_FILE, _TOKEN_SHAPE, _NO_TOKEN)) or ""
    secret = _attempt(faults, lambda: _secret(environ, SECRET, SECRET_FILE, _SECRET_SHAPE, None))
    base = _attempt(faults, lambda: _url(said.get("base_url") or environ.get(BASE_URL), BASE_URL))
    files = _attempt(faults, lambda: _url(said.get("base_file_url") or environ.get(BASE_FILE_URL), BASE_FILE_URL))
    if faults:
        raise Unusable(*faults)
    return Settings(token, database_path(environ, said.get("db")), base, files or _file_url(base), secret)


def database_path(environ: Mapping[str, str], option: str | None = None) -> Path:
    """The file of the team: the option, else BUCKETBELL_DB, else bucketbell.db in the working folder."""
    return Path(option or environ.get(DB) or DEFAULT_DB).expanduser()


_NO_TOKEN = (
    f"No token: set {TOKEN}, or {TOKEN_FILE} to the path of a file that holds it. "
    "The chat service gives you the token when you register the bot there."
)


def _attempt(faults: list[str], get: Callable[[], str | None]) -> str | None:
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


def _url(text: str | None, name: str) -> str | None:
    if not text:
        return None
    if not re.fullmatch(r"https?://[^\s/]+(/\S*)?", text):
        raise Unusable(f"{name} is {text!r}: it must begin with http:// or https:// and name a server.")
    return text.rstrip("/")


def _file_url(base_url: str | None) -> str | None:
    """Where the files of another Bot API server are by custom: .../bot becomes .../file/bot."""
    return base_url.removesuffix("/bot") + "/file/bot" if base_url and base_url.endswith("/bot") else None
