"""New on the list, told in a line of parts between commas: a tank, a client (with its first tank), a vat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from bot.items import Item, Quantity, Setting
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import line, word, words
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.rhythm import rhythm_in
from bot.understanding.text import Text

TABLE = "words_setup"
_SURE = 1.6


def made(text: Text, subject: str, stretch: range, values: Mapping[str, Any], tank: str | None = None) -> Claim:
    """The claim of a setting on a stretch; values that nobody said are left out."""
    used = frozenset(stretch)
    told = {key: value for key, value in values.items() if value is not None}
    return Claim((Setting(subject, tank, told),), used, weigh(text.tokens, used, _SURE))


def parts_of(text: Text, start: int, stop: int) -> list[range]:
    """The stretches between commas."""
    parts, place = [], start
    for end in (*(i for i in range(start, stop) if word(text, i) == ","), stop):
        if end > place:
            parts.append(range(place, end))
        place = end + 1
    return parts


def as_said(text: Text, part: range) -> str:
    """A part as typed, without the marks at its ends."""
    return text.typed(part.start, part.stop).strip(" :,-")


def volumes_in(text: Text, inside: range) -> list[Quantity]:
    """The amounts of water that a stretch names."""
    found = [m.quantity("volume") for m in text.measures if m.start in inside]
    return [each for each in found if each]


def tank(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "new tank quillow lobby reef, 90 gal + 20 sump, reef, tue every 2 weeks"."""
    inside = line(text, hit.start)
    parts = parts_of(text, hit.stop, inside.stop)
    if not parts:
        return
    yield made(text, "tank", range(hit.start, inside.stop), _tank_values(text, parts, inside))


def _tank_values(text: Text, parts: Sequence[range], inside: range) -> dict[str, Any]:
    volumes, rhythm = volumes_in(text, inside), rhythm_in(text, inside)
    return {
        "name": _name(text, parts[0]),
        "volume": volumes[0] if volumes else None,
        "sump": _sump(text, inside, volumes),
        "kind": meaning_in(text, "tank_kind", range((parts[1] if len(parts) > 1 else parts[0]).start, inside.stop)),
        "every_days": rhythm.days if rhythm else None,
        "weekday": weekday_in(text, inside),
    }


def _name(text: Text, part: range) -> str:
    """The words of a part up to a volume in it."""
    ends = [m.start for m in text.measures if m.start in part and m.unit("volume")]
    return as_said(text, range(part.start, min([part.stop, *ends])))


def _sump(text: Text, inside: range, volumes: list[Quantity]) -> Quantity | None:
    """The number beside "sump": with its own unit, else that of the tank."""
    for place in inside:
        if word(text, place) == "sump":
            beside = [m for m in text.measures if m.stop == place or m.start == place + 1]
            if beside and volumes:
                return beside[0].quantity("volume") or Quantity(beside[0].number.value, volumes[0].unit)
    return None


def meaning_in(text: Text, group: str, inside: range) -> str | None:
    """What the first phrase of a group in a stretch means."""
    return next((h.meaning for h in text.hits(TABLE, group) if h.start in inside), None)


_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def weekday_in(text: Text, inside: range) -> str | None:
    """The day of the week that a stretch names: "mon"."""
    days = (hit for place in inside for hit in lexicon("words_times", "weekday").at(text.tokens, place))
    return next((_WEEKDAYS[int(hit.meaning)] for hit in days), None)


def client(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "new client quillow dental, alder way 12, rena desk 555-0101, code 4471#, closed mon"."""
    inside = line(text, hit.start)
    parts = parts_of(text, hit.stop, inside.stop)
    if not parts:
        return
    first = next((i for i, part in enumerate(parts) if i and _is_tank(text, part)), len(parts))
    told = [_client_part(text, part) for part in parts[1:first]]
    values = {"name": as_said(text, parts[0])} | {key: ", ".join(v for k, v in told if k == key) for key, _ in told}
    claim = made(text, "client", range(hit.start, inside.stop), values)
    yield replace(claim, items=(*claim.items, *_first_tank(text, parts[0], parts[first:])))


def _is_tank(text: Text, part: range) -> bool:
    """A part of a client's line that tells of the tank there: "tank counter reef 60 gal"."""
    return word(text, part.start) in ("tank", "with") or bool(volumes_in(text, part))


def _first_tank(text: Text, client: range, parts: Sequence[range]) -> list[Item]:
    """The tank that was told of with its client, named after it."""
    if not parts:
        return []
    start = next((i for i in parts[0] if word(text, i) not in ("tank", "with", "a", "one", "is")), parts[0].start)
    own = range(start, parts[0].stop)
    values = _tank_values(text, [own, *parts[1:]], range(own.start, parts[-1].stop))
    kind = values["kind"] or meaning_in(text, "tank_kind", own)
    return [Setting("tank", None, {**values, "kind": kind, "name": f"{word(text, client.start)} {values['name']}"})]


def _client_part(text: Text, part: range) -> tuple[str, str]:
    first, said = word(text, part.start), as_said(text, part)
    if "code" in words(text, part.start, part.stop):
        return "code", said.split("code", 1)[-1].strip(" :")
    if first in ("closed", "shut"):
        return "closed", weekday_in(text, part) or said
    phone = sum(c.isdigit() for c in said) >= 6 or "@" in said
    return ("contact" if phone else "address"), said


def vat(text: Text, hit: Hit) -> Iterator[Claim]:
    inside = line(text, hit.start)
    parts = parts_of(text, hit.stop, inside.stop)
    if parts:
        volumes = volumes_in(text, inside)
        fresh = meaning_in(text, "batch", range(parts[0].stop, inside.stop)) == "fresh"
        values = {
            "name": "Vat " + _name(text, parts[0]).upper() if len(_name(text, parts[0])) == 1 else _name(text, parts[0])
        }
        yield made(
            text,
            "vat",
            range(hit.start, inside.stop),
            {**values, "volume": volumes[0] if volumes else None, "holds": "fresh" if fresh else "salt"},
        )
