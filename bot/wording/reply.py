"""One reply of at most four lines: what must be seen first, the quote, the answer, one remark, one question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

MOST_LINES = 4
NEVER_MORE = 6


@dataclass(frozen=True)
class Draft:
    """The pieces of a reply before they are laid out."""

    heads: tuple[str, ...] = ()
    quotes: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    remark: str | None = None
    question: str | None = None


def lay_out(draft: Draft) -> str:
    """The reply as text. Heads, quotes, words not read and the question always stand; the rest as room allows."""
    sure = [*draft.heads, *draft.quotes]
    tail = [*_not_read(draft.unread), *([draft.question] if draft.question else [])]
    taken = sum(part.count("\n") + 1 for part in sure)
    room = max(MOST_LINES - taken - len(tail), 1 if draft.lines and not sure else 0)
    extra = ([draft.remark] if draft.remark else [])[: max(room, 1)]
    middle = list(draft.lines[: max(room - len(extra), 0)])
    told = (sure + middle + extra + tail)[: max(NEVER_MORE, len(sure) + len(tail))]
    return "\n".join(dict.fromkeys("\n".join(told).split("\n")))  # no line twice


def _not_read(words: Sequence[str]) -> list[str]:
    if not words:
        return []
    shown = ", ".join(f'"{w}"' for w in words)
    return [f"not read: {shown if len(shown) <= _LONGEST else shown[:_LONGEST] + '…'}"]


_LONGEST = 200


def short_labels(labels: Sequence[str]) -> list[str]:
    """The labels as buttons have room for them: of too long ones the words that all begin with go first, then whole
    words at the end.
    """
    words = [label.split() for label in labels]
    while max(map(len, labels), default=0) > WIDEST and min(map(len, words)) > 1 and len({w[0] for w in words}) == 1:
        words = [w[1:] for w in words] if len(words) > 1 else [w[:-1] for w in words]
        labels = [" ".join(w) for w in words]
    return [label if len(label) <= WIDEST else label[: WIDEST + 1].rsplit(" ", 1)[0][:WIDEST] for label in labels]


WIDEST = 18
