"""python -m bot VERB ...: picks a verb and loads only what that verb needs."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module

# verb: (room that carries it out, function there, what it does). The function takes the arguments and returns the exit
# status; `python -m bot VERB --help` tells the rest.
VERBS: dict[str, tuple[str, str, str]] = {
    "demo": ("bot.doors.talk", "demo", "the terminal chat with the demo team: nothing to set up, nothing kept"),
    "chat": ("bot.doors.talk", "chat", "the terminal chat on a team's own database"),
    "serve": ("bot.doors.service", "serve", "the bot on the chat service"),
    "invite": ("bot.doors.service", "invite", "prints a one-use code that lets somebody in"),
    "read": ("bot.doors.jsonlines", "read", "what a message means, as JSON; nothing is stored"),
    "calc": ("bot.doors.jsonlines", "calc", "one calculation: a dose, a mix, a dilution, a conversion ..."),
    "replay": ("bot.doors.talk", "replay", "plays a scripted conversation on a simulated clock"),
    "pictures": ("bot.doors.pictures", "pictures", "every picture and page of the demo team, into a folder"),
    "import": ("bot.doors.files", "import_", "reads a team, a whole record, or an old table of readings"),
    "export": ("bot.doors.files", "export", "writes the whole record as JSON, or its tables as CSV"),
    "verify": ("bot.doors.files", "verify", "says whether the record is as it was written"),
    "backup": ("bot.doors.upkeep", "backup", "copies the database while it is in use, and checks the copy"),
    "restore": ("bot.doors.upkeep", "restore", "puts a backup in the place of the database"),
    "doctor": ("bot.doors.upkeep", "doctor", "checks token, database, clock, zone, disk and rights"),
    "health": ("bot.doors.upkeep", "health", "whether the running bot is alive, for supervisors"),
}


def main(arguments: Sequence[str]) -> int:
    """Runs a verb; returns the exit status: 0 done, 1 not possible as asked, 2 the command itself is wrong."""
    verb, rest = (arguments[0], arguments[1:]) if arguments else ("--help", ())
    if verb in ("-h", "--help", "help"):
        print(_usage())
        return 0
    if verb not in VERBS:
        print(f"There is no verb {verb!r}.\n\n{_usage()}", file=sys.stderr)
        return 2
    module, function, _ = VERBS[verb]
    return int(getattr(import_module(module), function)(list(rest)))


def _usage() -> str:
    lines = [f"  {verb:<9} {what}" for verb, (_, _, what) in VERBS.items()]
    return "\n".join([_HEAD, *lines, _FOOT])


_HEAD = """Bucketbell: the chat assistant of a small aquarium-service team.

  python -m bot VERB ...
"""
_FOOT = """
New here? python -m bot demo
More on one: python -m bot VERB --help"""

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
