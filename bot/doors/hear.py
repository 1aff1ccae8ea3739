"""Voice notes into words, by a program on our own machine that the team names; nothing leaves the machine."""

from __future__ import annotations

import asyncio
import contextlib
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bot.wording import service

MOST_BYTES = 5_000_000
MOST_LETTERS, MOST_PRINTED = 1_000, 100_000
LONGEST_S = 60.0
SEEN = ("PATH", "HOME", "LANG", "LC_ALL")  # of our environment: the token is none of that program's business


@dataclass(frozen=True)
class Heard:
    """The words that were heard; or, with none, the sentence to say about it."""

    text: str
    sentence: str = ""


class Transcriber:
    """Runs `command` with the file's path behind it, without a shell; what it prints is the text."""

    def __init__(self, command: Sequence[str], longest_s: float = LONGEST_S) -> None:
        self._command, self._longest_s = tuple(command), longest_s

    async def hear(self, path: Path) -> Heard:
        """The words of one note; it is stopped where it takes too long."""
        if not self._command:
            return Heard("", service.cannot_hear())
        if path.stat().st_size > MOST_BYTES:
            return Heard("", service.not_heard(f"above {MOST_BYTES / 1e6:.0f} MB"))
        try:
            status, said = await self._run(path)
        except TimeoutError:
            return Heard("", service.not_heard(f"no text within {self._longest_s:.0f} s"))
        except OSError:
            return Heard("", service.not_heard("the program that hears did not start"))
        text = " ".join(said.decode("utf-8", "replace").split())[:MOST_LETTERS]
        if status or not text:
            return Heard("", service.not_heard("no words in it" if not status else "the program that hears failed"))
        return Heard("".join(c for c in text if c.isprintable()))

    async def _run(self, path: Path) -> tuple[int, bytes]:
        """Exit status and what was printed; raises TimeoutError, after the program was stopped, and OSError."""
        nothing, pipe = asyncio.subprocess.DEVNULL, asyncio.subprocess.PIPE
        seen = {name: value for name in SEEN if (value := os.environ.get(name))}
        running = await asyncio.create_subprocess_exec(
            *self._command, str(path), stdin=nothing, stdout=pipe, stderr=nothing, env=seen
        )
        assert running.stdout is not None
        try:
            async with asyncio.timeout(self._longest_s):
                said = await _all_of(running.stdout)
                return (await running.wait(), said) if len(said) < MOST_PRINTED else (1, b"")
        finally:
            if running.returncode is None:
                with contextlib.suppress(ProcessLookupError):
                    running.kill()
                await running.wait()


async def _all_of(out: asyncio.StreamReader) -> bytes:
    """What is printed; what is more than a note can hold is an error of the program, and read no further."""
    try:
        return await out.readexactly(MOST_PRINTED)
    except asyncio.IncompleteReadError as short:
        return short.partial
