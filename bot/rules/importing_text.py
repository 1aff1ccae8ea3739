"""The text of an old log: from bytes to rows of cells, whatever wrote it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

_ENCODINGS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SEPARATORS = (",", ";", "\t", "|")


@dataclass(frozen=True)
class Row:
    """A row of the file: its line number, its cells without spaces around them."""

    number: int
    cells: tuple[str, ...]

    @property
    def text(self) -> str:
        """The row as it is kept: its cells, separated so that none can run into the next."""
        return "\t".join(self.cells)

    @property
    def mark(self) -> str:
        """What tells the row from every other one, whatever separated its cells."""
        return sha256(self.text.encode()).hexdigest()


def decoded(content: bytes) -> str:
    """The text of a file: by its mark, else UTF-8, else the usual code page of old spreadsheets."""
    for mark, encoding in _ENCODINGS:
        if content.startswith(mark):
            return content.decode(encoding, errors="replace")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def rows_of(text: str) -> list[Row]:
    """The rows that hold anything."""
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=separator(text))
    found = (Row(reader.line_num, tuple(_plain(cell) for cell in cells)) for cells in reader)
    return [row for row in found if any(row.cells)]


def separator(text: str) -> str:
    """What parts the cells: the sign that cuts the first lines into the same number of cells, more than one."""
    lines = [line for line in text.splitlines() if line.strip()][:20]
    return max(_SEPARATORS, key=lambda sign: _evenness(lines, sign))


def _evenness(lines: Sequence[str], sign: str) -> tuple[int, int]:
    """How many lines have the commonest number of cells, and how many cells that is; nothing for one cell a line."""
    counts = [len(cells) for cells in csv.reader(lines, delimiter=sign)]
    several = [count for count in counts if count > 1]
    common = max(set(several), key=several.count, default=0)
    return several.count(common), common


def _plain(cell: str) -> str:
    """A cell without the spaces around it, and without the apostrophe that keeps a spreadsheet from calculating."""
    bare = cell.replace("\xa0", " ").strip()
    return bare[1:] if bare[:1] == "'" and bare[1:2] in ("=", "+", "-", "@") else bare
