"""What was seen or is to be remembered: "note: scratch on the pane" takes the rest of its line; "koi flashing"."""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Event
from bot.understanding.animals import animals_in
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, found_with_plurals, is_named, line, word
from bot.understanding.lexicon import Hit, around
from bot.understanding.lookups import opens_as_question
from bot.understanding.text import Text

_SMALL = around("notes", "small")
_ALONE_NO_NOTE = around("notes", "alone_no_note")


def claims(text: Text) -> Iterator[Claim]:
    """Notes that are opened by a word, and signs of life, illness and water."""
    for hit in text.hits("words_events", "opening"):
        yield from _opened(text, hit)
    yield from (c for c in (*_seen(text), *_odd_machine(text)) if not opens_as_question(text, min(c.used)))
    yield from _looked(text)
    yield from _unlisted(text)


def _looked(text: Text) -> Iterator[Claim]:
    """ "looked at qt-1", "qt-1 all fine": with a tank named and no more said in the clause, it is a look."""
    for hit in text.hits("words_events", "look"):
        inside = clause(text, hit.start) if hit.meaning == "looked" else range(len(text.tokens))
        named = {i for m in text.mentions if m.start in inside and not m.vat for i in m.span}
        bare = [i for i in inside if i not in named and i not in hit.span and text.tokens[i].is_word]
        if named and all(word(text, i) in _SMALL for i in bare):
            used = hit.span
            subject = text.typed(hit.start, hit.stop)
            yield Claim((Event("note", subject=subject),), used, weigh(text.tokens, used, 1.2))


def _unlisted(text: Text) -> Iterator[Claim]:
    """ "the coral magnolia looks pale": what no list has, by its plain words and what it looks like."""
    taken = {i for name in text.parameters for i in name.span}
    for hit in [] if _is_asked(text) else text.hits("words_animals", "sign"):
        inside = clause(text, hit.start)
        before = range(inside.start, hit.start)
        looks = [i for i in before if word(text, i) in _LOOKS]
        plain = all(text.tokens[i].is_word and i not in taken and not is_named(text, i) for i in before)
        if plain and looks and 0 < looks[0] - inside.start <= _MOST_UNLISTED:
            used = frozenset(range(inside.start, hit.stop))
            subject = text.typed(*_trimmed(text, inside.start, hit.stop))
            yield Claim((Event("note", subject=subject),), used, weigh(text.tokens, used, 0.6))


_LOOKS = around("notes", "looks")
_MOST_UNLISTED = 4


def _odd_machine(text: Text) -> Iterator[Claim]:
    """ "return pump noisy": a machine that runs, but not as it should."""
    machines = found_with_plurals(text, "words_machines", "machine")
    for odd in text.hits("words_machines", "odd"):
        inside = clause(text, odd.start)
        for machine in machines:
            first, last = sorted((machine, odd), key=lambda hit: hit.start)
            named = {i for m in text.mentions if m.plausible >= 1 for i in m.span}
            between = [i for i in range(first.stop, last.start) if i not in named]
            if machine.start in inside and all(_is_small(text, i) for i in between):
                used = frozenset(range(first.start, last.stop)) - named
                subject = text.typed(first.start, last.stop)
                yield Claim((Event("note", subject=subject),), used, weigh(text.tokens, used, 0.95))


def _opened(text: Text, hit: Hit) -> Iterator[Claim]:
    """The rest of the line after "note", its tank left out: "note for the vet tank, the receptionist ..."."""
    whole = line(text, hit.start)
    if hit.start > whole.start and not _may_open(text, hit, whole):
        return
    start = _past_mark(text, hit.stop)
    named = next((m for m in text.mentions if m.start <= start + 1 and m.stop > start and m.behind), None)
    named = named or next(
        (m for m in text.mentions if m.start == start and word(text, m.stop) in (":", ",", "-")), None
    )
    start = _past_mark(text, named.stop) if named else start
    if start < whole.stop:
        used = frozenset(i for i in range(hit.start, whole.stop) if not (named and i in named.span))
        yield Claim((Event("note", subject=text.typed(start, whole.stop)),), used, weigh(text.tokens, used, 1.5))


def _may_open(text: Text, hit: Hit, whole: range) -> bool:
    """In the middle of a line a note begins only after a stop or with a colon, or after the name of its tank."""
    before = word(text, hit.start - 1)
    colon = word(text, hit.stop) == ":"
    named = any(m.stop == hit.start and m.start == whole.start for m in text.mentions)
    return colon or named or before in (".", ";", "!", ":", ",", "-")


def _past_mark(text: Text, place: int) -> int:
    while word(text, place) in (":", "-", ",", ".", "that", "="):
        place += 1
    return place


def _seen(text: Text) -> Iterator[Claim]:
    """Signs with the animals and small words around them as typed; those that follow one another are one note."""
    found = (
        []
        if _is_asked(text)
        else [stretch for hit in text.hits("words_animals", "sign") if (stretch := _stretch(text, hit))]
    )
    merged: list[range] = []
    for stretch in sorted(found, key=lambda s: s.start):
        between = range(merged[-1].stop, stretch.start) if merged else range(0)
        if (merged and stretch.start <= merged[-1].stop) or (
            merged and all(word(text, i) in _JOINING for i in between)
        ):
            merged[-1] = range(merged[-1].start, max(merged[-1].stop, stretch.stop))
        else:
            merged.append(stretch)
    for stretch in dict.fromkeys((*merged, *found)):
        used = frozenset(stretch)
        subject = text.typed(*_trimmed(text, stretch.start, stretch.stop))
        yield Claim((Event("note", subject=subject),), used, weigh(text.tokens, used, 0.85))


_JOINING = around("notes", "joining")


def _is_asked(text: Text) -> bool:
    """ "how do i treat ich", "is he sick?": nothing has been seen."""
    opening = next((place for place, token in enumerate(text.tokens) if token.is_word), 0)
    return bool(text.tokens) and (text.tokens[-1].text == "?" or word(text, opening) in _ASKING)


_ASKING = around("notes", "asking")


def _stretch(text: Text, hit: Hit) -> range | None:
    """A sign grown over its neighbours; None where the word alone is too common to be a sign here."""
    inside = clause(text, hit.start)
    parts = [
        *((a.start, a.stop) for a in animals_in(text)),
        *((h.start, h.stop) for h in text.hits("words_animals", "sign")),
    ]
    parts = [part for part in parts if part[0] in inside and part[1] <= inside.stop]
    start, stop = _grown(text, inside, hit.start, hit.stop, parts)
    said = word(text, hit.start) if hit.stop - hit.start == 1 else ""
    whole = start == inside.start and stop == inside.stop
    if said in _ALONE_NO_NOTE and (start, stop) == (hit.start, hit.stop) and not whole:
        return None
    if said == "rtn" and not any(start <= a.start < stop for a in animals_in(text)):
        return None
    return range(start, stop)


def _grown(text: Text, inside: range, start: int, stop: int, parts: list[tuple[int, int]]) -> tuple[int, int]:
    """The stretch grown over neighbours: animals, other signs, and small words that lead to them."""
    grew = True
    while grew:
        left, right = _reach(text, inside, start, -1), _reach(text, inside, stop, 1)
        near = [part for part in parts if (left <= part[1] <= start and part[0] < start) or stop <= part[0] <= right]
        grew = bool(near)
        for part in near:
            start, stop = min(start, part[0]), max(stop, part[1])
    return _small_edge(text, inside, start, -1), _small_edge(text, inside, stop, 1)


def _reach(text: Text, inside: range, place: int, step: int) -> int:
    """How far small words lead from an edge."""
    while inside.start < place < inside.stop and _is_small(text, place if step > 0 else place - 1):
        place += step
    return place


def _is_small(text: Text, place: int) -> bool:
    named = any(m.start <= place < m.stop and m.plausible >= 1 for m in text.mentions)
    return word(text, place) in _SMALL and not named


def _small_edge(text: Text, inside: range, place: int, step: int) -> int:
    """Words of place and degree at the edges belong to what was seen, unless they lead to something else."""
    end = _reach(text, inside, place, step)
    return end if end in (inside.start, inside.stop) else place


def _trimmed(text: Text, start: int, stop: int) -> tuple[int, int]:
    while start < stop - 1 and word(text, start) in ("and", "the", "a", "with", "now", "is", "are"):
        start += 1
    while stop - 1 > start and word(text, stop - 1) in ("and", "now", "today"):
        stop -= 1
    return start, stop
