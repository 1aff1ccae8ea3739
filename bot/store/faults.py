"""What is wrong with the file or the disk, in words, where SQLite gives only a code."""

from __future__ import annotations

import sqlite3

_WORDS = {
    sqlite3.SQLITE_FULL: "the disk is full. Free some space; nothing else is needed",
    sqlite3.SQLITE_IOERR: "the disk does not take or give data. Check the disk and its free space",
    sqlite3.SQLITE_READONLY: "the file or its folder is read-only. Give the bot's user the right to write there",
    sqlite3.SQLITE_PERM: "the file may not be used. Give the bot's user the right to read and write it",
    sqlite3.SQLITE_BUSY: "another program holds the file. End that program",
    sqlite3.SQLITE_LOCKED: "another program holds the file. End that program",
    sqlite3.SQLITE_CANTOPEN: "the file cannot be opened. Check that its folder exists and may be written",
    sqlite3.SQLITE_CORRUPT: "the file is damaged. Stop the bot and put the last good copy back (`restore`)",
    sqlite3.SQLITE_NOTADB: "the file is no database. Check the path, or put the last good copy back (`restore`)",
}


def fault_in_words(fault: BaseException) -> str | None:
    """What is wrong with the disk or the file and what to do; None where the fault is none of theirs."""
    if not isinstance(fault, sqlite3.Error):
        return None
    return _WORDS.get((getattr(fault, "sqlite_errorcode", None) or 0) & 0xFF)
