"""A reading: kept, quoted, judged."""

from __future__ import annotations

from bot.assistant import corrections
from bot.assistant.conversation import replied_facts
from bot.assistant.turn import Part, Turn
from bot.items import Item, Reading
from bot.store.logbook import Fact
from bot.wording import quantities


def take(turn: Turn, item: Item) -> list[Part]:
    """Keeps a reading and quotes it; as a reply to a quote of the same test, it corrects that one."""
    assert isinstance(item, Reading)
    quoted = _quoted(turn, item)
    if quoted:
        return corrections.replace_fact(turn, quoted, item)
    turn.keep(item)
    return [Part(said=(quantities.reading(item),), tank=item.tank or item.vat, at=item.at, stored=True)]


def _quoted(turn: Turn, item: Reading) -> Fact | None:
    """The reading of the same test and place in the message replied to."""
    same = (f for f in replied_facts(turn) if isinstance(f.item, Reading) and f.item.parameter == item.parameter)
    return next((f for f in same if getattr(f.item, "of", None) == item.of), None)
