"""The machine-readable face: `read` and `calc`, one JSON object for each message. Nothing is stored."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import Any, TextIO

from bot.items import Situation
from bot.items_json import as_json

Answer = tuple[dict[str, Any], int]
"""What is printed for one message, and the exit status that it asks for."""


def read(arguments: Sequence[str]) -> int:
    """`read TEXT` or `read --lines FILE`: what each message means. Exit status 1 if a line was no message."""
    options = _parser("read", "What a message means, as JSON. Nothing is stored.").parse_args(arguments)
    return _run("read", options, _read_one)


def calc(arguments: Sequence[str]) -> int:
    """`calc TEXT`, `calc --json TEXT` or `calc --lines FILE`: one calculation. Exit status 1 for a lone problem."""
    from bot.doors.sums import page

    parser = _parser("calc", "One calculation, from a question in words. What can be asked:", page())
    parser.add_argument("--steps", action="store_true", help="also how it was worked out, all cautions, the sources")
    options = parser.parse_args(arguments)
    if options.text is not None and options.lines is None and not options.json:
        return _said(options)
    status = _run("calc", options, _calc_one)
    return 0 if status == 1 and options.lines is not None else status


def situation_of(given: Mapping[str, Any]) -> Situation:
    """The situation that an input object describes; ValueError where one of its values cannot be."""
    now = datetime.fromisoformat(str(given["now"])) if given.get("now") else datetime.now().astimezone()
    return Situation(
        now=now if now.tzinfo else now.astimezone(),
        units="metric" if given.get("units") == "metric" else "us",
        tank=given.get("tank"),
        tanks=_names(given, "tanks"),
        vats=_names(given, "vats"),
        nicknames=dict(given.get("nicknames") or {}),
        panel=_names(given, "panel"),
        people=_names(given, "people"),
    )


def _names(given: Mapping[str, Any], key: str) -> tuple[str, ...]:
    names = given.get(key) or ()
    if isinstance(names, str) or not all(isinstance(name, str) for name in names):
        raise ValueError(f'"{key}" must be a list of names')
    return tuple(names)


def _read_one(given: Mapping[str, Any]) -> Answer:
    from bot.understanding.doubts import asked_once
    from bot.understanding.read import read as understand

    understood = understand(str(given["text"]), situation_of(given))
    items = asked_once(understood.items)
    return {"items": [as_json(item) for item in items], "unread": list(understood.unread)}, 0


def _calc_one(given: Mapping[str, Any]) -> Answer:
    from bot.doors.sums import as_json as worked_as_json
    from bot.doors.sums import worked

    answer = worked_as_json(worked(str(given["text"]), situation_of(given)))
    return answer, 1 if "problem" in answer else 0


def _said(options: argparse.Namespace) -> int:
    """The answer in the words of the chat."""
    from bot.doors.sums import in_words, worked
    from bot.science.working import Problem

    answers = worked(options.text, situation_of(_context(options)))
    print(in_words(answers, options.steps))
    return 1 if all(isinstance(answer, Problem) for answer in answers) else 0


def _run(verb: str, options: argparse.Namespace, one: Callable[[Mapping[str, Any]], Answer]) -> int:
    _utf8(sys.stdout, "backslashreplace")  # half a character of a broken text comes out as JSON writes it
    if options.lines is None and options.text is None:
        print(f"Nothing to {verb}: send a message as an argument, or --lines FILE.", file=sys.stderr)
        return 2
    if options.lines is None:
        return _answer({"text": options.text} | _context(options), one)
    try:
        with _opened(options.lines) as lines:
            return max((_answer_line(line, one) for line in lines if line.strip()), default=0)
    except OSError as trouble:
        print(
            f"{options.lines} cannot be read: {trouble.strerror}. Send the path of a JSON lines file.", file=sys.stderr
        )
        return 2


def _parser(verb: str, about: str, more: str = "") -> argparse.ArgumentParser:
    form = argparse.RawDescriptionHelpFormatter
    about = f"{about}\n\n{more}" if more else about
    parser = argparse.ArgumentParser(prog=f"python -m bot {verb}", description=about, formatter_class=form)
    parser.add_argument("text", nargs="?", help="one message")
    parser.add_argument("--lines", metavar="FILE", help="a JSON object a line; - is the standard input")
    parser.add_argument("--json", action="store_true", help="answer in JSON (read always does)")
    parser.add_argument("--units", choices=("us", "metric"), default="us", help="the team's habit")
    parser.add_argument("--now", metavar="TIME", help="the time it is taken to be, in ISO form")
    parser.add_argument("--tank", help="the tank in hand")
    parser.add_argument("--tanks", metavar="NAMES", help="the tanks there are, separated by commas")
    return parser


def _context(options: argparse.Namespace) -> dict[str, Any]:
    tanks = [name.strip() for name in (options.tanks or "").split(",") if name.strip()]
    known = [options.tank] if options.tank and options.tank not in tanks else []
    return {"units": options.units, "now": options.now, "tank": options.tank, "tanks": [*tanks, *known]}


@contextmanager
def _opened(path: str) -> Iterator[Iterable[str]]:
    if path == "-":
        yield _utf8(sys.stdin)
        return
    with open(path, encoding="utf-8", errors="replace") as lines:
        yield lines


def _utf8(stream: TextIO, errors: str = "replace") -> TextIO:
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(encoding="utf-8", errors=errors)
    return stream


def _answer_line(line: str, one: Callable[[Mapping[str, Any]], Answer]) -> int:
    try:
        given = json.loads(line)
    except (ValueError, RecursionError) as trouble:
        return _printed({"problem": f"This line is no JSON ({trouble}). Send one object a line."}, 1)
    if not isinstance(given, dict) or not isinstance(given.get("text"), str):
        return _printed({"problem": 'This line has no "text". Send {"text": "...", "units": "us", "now": "..."}.'}, 1)
    return _answer(given, one)


def _answer(given: Mapping[str, Any], one: Callable[[Mapping[str, Any]], Answer]) -> int:
    try:
        return _printed(*one(given))
    except (ValueError, TypeError) as trouble:
        return _printed({"problem": f"The situation cannot be read: {trouble}."}, 1)


def _printed(answer: Mapping[str, Any], status: int) -> int:
    print(json.dumps(answer, ensure_ascii=False), flush=True)
    return status
