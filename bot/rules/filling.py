"""When a container is full: its size over what flows in, from the words of a message or from what is on file."""

from __future__ import annotations

from dataclasses import dataclass

from bot.facts.load import table
from bot.items import Quantity, Situation
from bot.rules.words import says
from bot.science.inputs import in_unit
from bot.team import Vat
from bot.understanding.text import Text


@dataclass(frozen=True)
class Filling:
    """What fills, how fast, and for how long. `minutes` until it is full; `ping_after` until somebody is told."""

    volume: Quantity
    flow: Quantity
    minutes: float

    @property
    def ping_after(self) -> float:
        """Minutes until the ping: some before it is full, and not before half the way."""
        before = float(table("open_ends")["filling"]["before"]["value"])
        return max(self.minutes - before, self.minutes / 2)


def planned(text: str, situation: Situation, vat: Vat | None = None) -> Filling | None:
    """The filling that the words start; None where they start none, or where size or flow are not known.

    The flow is taken as said: a slower one fills later, which does no harm.
    """
    if not says(text, _STARTS) or "?" in text or says(text, _ASKS):
        return None
    measures = Text(text, situation).measures
    flow = next((q for m in measures if (q := m.quantity("flow"))), None) or (vat.fills_at if vat else None)
    volume = next((q for m in measures if (q := m.quantity("volume"))), None) or (vat.volume if vat else None)
    if flow is None or volume is None or flow.value <= 0:
        return None
    hours = in_unit(volume, "L", "volume") / in_unit(flow, "L/h", "flow")
    return Filling(volume, flow, hours * 60)


_STARTS = (
    "fill, filling, refill, refilling, filling up, ro into, rodi into, ro running, rodi running, ro on, rodi on, "
    "hose into, hose in, hose running, tap running, water running into, into the barrel, into the vat"
)
_ASKS = "how long, how much, how many, when, what, whats, how, will it, is it, does it, would it"
