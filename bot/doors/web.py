"""As much of HTTP as the service needs itself: short requests, short answers, nothing kept open, everything bounded."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass

from bot.doors import logs

MOST_HEAD, MOST_BODY, MOST_UNREAD, PATIENCE_S = 16_384, 1_000_000, 8_000_000, 30.0
_REASON = {200: "OK", 400: "Bad Request", 403: "Forbidden", 404: "Not Found", 405: "Method Not Allowed"}
_REASON |= {413: "Content Too Large", 500: "Internal Server Error", 503: "Service Unavailable"}


@dataclass(frozen=True)
class Request:
    """A request; the names of `headers` are in small letters."""

    method: str
    path: str
    headers: Mapping[str, str]
    body: bytes = b""


@dataclass(frozen=True)
class Answer:
    """An answer with its kind of content."""

    status: int
    text: str = ""
    kind: str = "text/plain; charset=utf-8"


Route = Callable[[Request], Awaitable[Answer]]


class _Bad(Exception):
    def __init__(self, status: int) -> None:
        self.status = status


async def listen(host: str, port: int, route: Route) -> asyncio.Server:
    """A server that answers with `route` there; the caller closes it. Port 0 takes a free one; the log says which."""

    async def connected(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        with suppress(ConnectionError, TimeoutError):
            async with asyncio.timeout(PATIENCE_S):
                writer.write(_bytes(await _answer(reader, route)))
                await writer.drain()
                await _read_out(reader, writer)
        writer.close()

    server = await asyncio.start_server(connected, host, port, limit=MOST_HEAD)
    logs.event("listening", host=host, port=server.sockets[0].getsockname()[1])
    return server


async def _read_out(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Lets the caller finish sending: closed with bytes unread, the connection would be reset and the answer lost."""
    writer.write_eof()
    for _ in range(MOST_UNREAD // MOST_HEAD):
        if not await reader.read(MOST_HEAD):
            return


async def _answer(reader: asyncio.StreamReader, route: Route) -> Answer:
    try:
        return await route(await _read(reader))
    except _Bad as bad:
        return Answer(bad.status)


async def _read(reader: asyncio.StreamReader) -> Request:
    try:
        head = (await reader.readuntil(b"\r\n\r\n")).decode("latin-1")
        first, *lines = head.rstrip("\r\n").split("\r\n")
        method, path, _ = first.split(" ")
        headers = {name.strip().lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
        size = int(headers.get("content-length", "0"))
        if not 0 <= size <= MOST_BODY:
            raise _Bad(413)
        return Request(method, path.partition("?")[0], headers, await reader.readexactly(size))
    except (ValueError, asyncio.IncompleteReadError, asyncio.LimitOverrunError):
        raise _Bad(400) from None


def _bytes(answer: Answer) -> bytes:
    body = answer.text.encode()
    lines = [
        f"HTTP/1.1 {answer.status} {_REASON.get(answer.status, 'Other')}",
        f"Content-Type: {answer.kind}",
        f"Content-Length: {len(body)}",
        "Connection: close",
    ]
    return "\r\n".join([*lines, "", ""]).encode() + body
