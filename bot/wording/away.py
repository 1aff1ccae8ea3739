"""What is said after the bot was down."""

from __future__ import annotations

from datetime import datetime


def was_away(since: datetime, until: datetime, messages: int) -> str:
    """ "Was away 10:02 to 10:31. 6 messages read."."""
    day = "" if since.date() == until.date() else f"{since:%a} "
    read = f" {messages} message{'s' if messages != 1 else ''} read." if messages else ""
    return f"Was away {day}{since:%H:%M} to {until:%H:%M}.{read}"
