"""What clients said and what holds at their sites: "client asked if we can come friday" is the office's to answer,
"key for thornmere is with the porter" is to be known by whoever goes there.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Item, Setting, Task
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import line, past_small, word
from bot.understanding.lexicon import Hit, around
from bot.understanding.names import Mention
from bot.understanding.text import Text

TABLE = "words_round"
_LEAD = around("client_words", "lead")


def claims(text: Text) -> Iterator[Claim]:
    """Each line that a client's word opens, and each that says where a thing of a site is."""
    for hit in text.hits(TABLE, "client_asks"):
        inside = line(text, hit.start)
        if hit.start == _behind_client(text, inside):
            yield _made(text, Task(_said(text, inside), _tank(text, inside), who="office"), inside, 1.15)
    for hit in text.hits(TABLE, "site_thing"):
        inside = line(text, hit.start)
        places = _places(text, inside)
        if len(places) == 1 and _opens(text, hit, inside) and _tells(text, hit, inside):
            tank = places[0].options[0]
            yield _made(text, Setting("site_note", tank, {"text": _said(text, inside)}), inside, 1.3)


def _behind_client(text: Text, inside: range) -> int:
    """The place behind "the client (at dovetree)", -1 where no client opens the line."""
    start = past_small(text, inside.start, inside.stop, _LEAD)
    who = next((h for h in text.hits(TABLE, "client") if h.start == start), None)
    by_name = next((m.stop for m in _places(text, inside) if m.start == inside.start), -1)
    return past_small(text, who.stop, inside.stop, _LEAD | {"from", "of"}) if who else by_name


def _opens(text: Text, hit: Hit, inside: range) -> bool:
    """The thing stands first, the name of its site aside."""
    return past_small(text, inside.start, inside.stop, _LEAD) == hit.start


def _tells(text: Text, hit: Hit, inside: range) -> bool:
    """It is said of the thing where or how it is; not asked."""
    verbs = (
        i for i in range(hit.stop, inside.stop) if word(text, i) in ("is", "are", "hangs", "in", "under", "behind")
    )
    return next(verbs, None) is not None and word(text, inside.stop - 1) != "?"


def _places(text: Text, inside: range) -> list[Mention]:
    return [m for m in text.mentions if m.start in inside and not m.vat and m.plausible >= 1]


def _tank(text: Text, inside: range) -> str | None:
    """The tank that is named; none where the name could mean several: it is the site's matter."""
    options = {m.options for m in _places(text, inside)}
    one = next(iter(options)) if len(options) == 1 else ()
    return one[0] if len(one) == 1 else None


def _said(text: Text, inside: range) -> str:
    return text.typed(inside.start, inside.stop).strip(" .!")


def _made(text: Text, item: Item, inside: range, plausible: float) -> Claim:
    used = frozenset(inside)
    return Claim((item,), used, weigh(text.tokens, used, plausible))
