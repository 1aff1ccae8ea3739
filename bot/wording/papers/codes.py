"""QR codes (ISO/IEC 18004) as rows of dark and light squares."""

from __future__ import annotations

_BORDER = 4  # light squares around, as the standard asks for


def modules(text: str) -> list[list[bool]]:
    """The squares of the code with its border, row by row; a quarter of it may be hidden by dirt or a wet film."""
    import segno

    code = segno.make(text, error="q", boost_error=True, micro=False)
    return [[bool(square) for square in row] for row in code.matrix_iter(border=_BORDER)]
