"""As much of HTTP/1.1 as a Bot API server needs: requests with a body, kept-alive connections, forms and uploads."""

import asyncio
import json
from dataclasses import dataclass, field
from email.parser import BytesParser
from email.policy import HTTP
from urllib.parse import parse_qsl, unquote, urlsplit


@dataclass
class Upload:
    name: str
    content: bytes


@dataclass
class Request:
    method: str
    path: str
    headers: dict
    body: bytes
    params: dict = field(default_factory=dict)


class Drop(Exception):
    """Close the connection without an answer."""


async def read_request(reader):
    """The next request of a connection; None where the other side has closed it."""
    try:
        head = await reader.readuntil(b"\r\n\r\n")
    except (asyncio.IncompleteReadError, ConnectionError):
        return None
    first, *lines = head.decode("latin-1").split("\r\n")
    method, target, _ = first.split(" ", 2)
    headers = {k.lower(): v.strip() for k, _, v in (line.partition(":") for line in lines if line)}
    body = await _body(reader, headers)
    url = urlsplit(target)
    params = dict(parse_qsl(url.query)) | _params(headers.get("content-type", ""), body)
    return Request(method, unquote(url.path), headers, body, params)


async def _body(reader, headers):
    if headers.get("transfer-encoding") == "chunked":
        parts = []
        while size := int((await reader.readline()).split(b";")[0], 16):
            parts.append(await reader.readexactly(size))
            await reader.readline()
        await reader.readline()
        return b"".join(parts)
    return await reader.readexactly(int(headers.get("content-length", 0)))


def _params(kind, body):
    if kind.startswith("application/x-www-form-urlencoded"):
        return dict(parse_qsl(body.decode(), keep_blank_values=True))
    if kind.startswith("application/json"):
        return json.loads(body)
    if kind.startswith("multipart/form-data"):
        return dict(_parts(kind, body))
    return {}


def _parts(kind, body):
    whole = BytesParser(policy=HTTP).parsebytes(f"Content-Type: {kind}\r\n\r\n".encode() + body)
    for part in whole.iter_parts():
        name = part.get_param("name", header="content-disposition")
        content = part.get_payload(decode=True)
        file_name = part.get_filename()
        yield name, content.decode() if file_name is None else Upload(file_name, content)


def answer(status, content, kind="application/json"):
    """The bytes of an answer."""
    body = content if isinstance(content, bytes) else json.dumps(content).encode()
    head = f"HTTP/1.1 {status} X\r\nContent-Type: {kind}\r\nContent-Length: {len(body)}\r\n\r\n"
    return head.encode() + body


async def serve_connection(reader, writer, respond):
    """Answers requests one after the other until somebody closes."""
    try:
        while (request := await read_request(reader)) is not None:
            writer.write(await respond(request))
            await writer.drain()
    except (Drop, ConnectionError, asyncio.IncompleteReadError):
        pass
    finally:
        writer.close()
