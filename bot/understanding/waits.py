"""Waits started in words: "nets in bleach 20 min", "floating 2 clowns", "drip since 10:40", "remind me in 20 min".

A wait's kind may be told by itself ("floating") or only together with a length ("mix 24h"): see facts/words_waits.toml.
The length is what stands in the clause; a bare number at its end is minutes. Of a dip no length is ever assumed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from bot.facts.load import table
from bot.items import Clarify, Item, Wait
from bot.understanding.animals import animals_in
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, word, words
from bot.understanding.lasting import Lasting, bare_minutes, lasting_in
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text
from bot.understanding.units import Measure

_ASKING = around("waits", "asking")
_NOT_MINUTES = ("mix_rest", "quarantine")


def claims(text: Text) -> Iterator[Claim]:
    """Every word for a wait, with its length, beginning, amount and what waits."""
    kinds = _kinds(text)
    for group in _together(text, kinds):
        yield from _wait(text, group, kinds)


@dataclass(frozen=True)
class _Kind:
    """Words for a wait; `sure`: they say one even without a length."""

    start: int
    stop: int
    wait: str
    sure: bool


def _kinds(text: Text) -> list[_Kind]:
    """Every word for a wait in order; of two that overlap the longer."""
    found = [_Kind(h.start, h.stop, h.meaning, True) for h in text.hits("words_waits", "kind")]
    found += [_Kind(h.start, h.stop, h.meaning, _little_else(text, h)) for h in text.hits("words_waits", "kind_alone")]
    found += [_Kind(h.start, h.stop, h.meaning, False) for h in text.hits("words_waits", "kind_with_length")]
    kept: list[_Kind] = []
    for kind in sorted(found, key=lambda k: (k.start, k.start - k.stop)):
        if not kept or kind.start >= kept[-1].stop:
            kept.append(kind)
    return kept


def _together(text: Text, kinds: Sequence[_Kind]) -> list[list[_Kind]]:
    """Words for the same wait that stand together are one: "soaking nets in bleach", "acclimating shrimp, drip an hour"."""
    groups: list[list[_Kind]] = []
    for kind in kinds:
        if groups and groups[-1][-1].wait == kind.wait and _same_wait(text, groups[-1][-1], kind):
            groups[-1].append(kind)
        else:
            groups.append([kind])
    return groups


def _same_wait(text: Text, first: _Kind, second: _Kind) -> bool:
    between = range(first.stop, second.start)
    if any(d.start in between for d in text.durations) or any(
        word(text, i) in ("then", ";", ".", "\n") for i in between
    ):
        return False
    inside = clause(text, second.start)
    return first.start in inside or not [i for i in inside if i < second.start and word(text, i) not in _EDGE]


def _little_else(text: Text, hit: Hit) -> bool:
    """Beside the word only a tank, an animal, a tool or small words stand in the clause."""
    inside = clause(text, hit.start)
    things = [
        *animals_in(text),
        *text.hits("words_waits", "tool"),
        *(m for m in text.mentions if m.plausible >= 1),
        hit,
    ]
    things += [m for m in text.measures if m.unit("volume")]
    known = {i for each in things for i in range(each.start, each.stop)}
    return all(i in known or word(text, i) in _PUT or word(text, i) in _EDGE for i in inside)


def _wait(text: Text, group: Sequence[_Kind], kinds: Sequence[_Kind]) -> Iterator[Claim]:
    hit = Hit(group[0].start, group[-1].stop, group[0].wait)
    span = frozenset(i for kind in group for i in range(kind.start, kind.stop))
    inside = _stretch(text, hit, kinds)
    last = lasting_in(text, inside) or bare_minutes(text, hit.stop, inside) or _bare_behind_subject(text, hit, inside)
    if _asked(text, inside) or _denied(text, hit) or not (last or any(kind.sure for kind in group)):
        return
    yield _claim(text, hit, span, inside, replace(Wait(hit.meaning), step=_step(text, hit)), last)


def _stretch(text: Text, hit: Hit, kinds: Sequence[_Kind]) -> range:
    """The clause, and past a comma what tells only a length, an amount or what waits: "net in bleach, 10 L", "dip 5 min, clownfish"."""
    start, stop = _own_start(text, hit, kinds), clause(text, hit.stop - 1).stop
    while word(text, stop) == "," and (
        more := _only_beside(text, clause(text, stop + 1), _free_for_subject(text, range(start, stop), hit))
    ):
        stop = more
    while (
        word(text, start - 1) == ","
        and start == clause(text, start).start
        and _only_tools(text, clause(text, start - 2))
    ):
        start = clause(text, start - 2).start
    later = [kind.start for kind in kinds if hit.stop <= kind.start < stop and kind.wait != hit.meaning]
    return range(start, min([stop, *later]))


def _own_start(text: Text, hit: Hit, kinds: Sequence[_Kind]) -> int:
    """Not before another wait in the same clause ("float 20 min drip 1 hr"), nor before a joining "then"."""
    inside = clause(text, hit.start)
    earlier = [k.stop for k in kinds if inside.start <= k.start and k.stop <= hit.start]
    lengths = [d.stop for d in text.durations if earlier and earlier[-1] <= d.start and d.stop <= hit.start]
    joins = [i + 1 for i in range(inside.start, hit.start) if word(text, i) in ("then", "plus")]
    return max([inside.start, *earlier, *lengths, *joins])


def _free_for_subject(text: Text, inside: range, hit: Hit) -> bool:
    """No animal or tool has been named yet."""
    things = (*animals_in(text), *text.hits("words_waits", "tool"))
    return not any(t.start in inside and not hit.start <= t.start < hit.stop for t in things)


def _only_beside(text: Text, inside: range, subject: bool) -> int:
    """The end of a clause that holds nothing but a length, an instant, an amount of water or (where it is wanted) what waits; else 0."""
    spans = [*text.durations, *text.past, *(m for m in text.measures if m.unit("volume"))]
    things = [*animals_in(text), *text.hits("words_waits", "tool")] if subject else []
    spans += [m for m in text.mentions if m.plausible >= 1]
    covered = {i for each in spans for i in each.span} | {i for each in things for i in range(each.start, each.stop)}
    rest = [
        i
        for i in inside
        if i not in covered and word(text, i) not in ("for", "since", "from", "about", "in", "at", "of", "the", "and")
    ]
    return inside.stop if len(inside) and not rest else 0


def _only_tools(text: Text, inside: range) -> bool:
    """ "nets, 2 buckets in bleach": a list of tools goes on past the comma."""
    tools = {i for hit in text.hits("words_waits", "tool") for i in hit.span}
    rest = [i for i in inside if i not in tools and not text.tokens[i].is_number and word(text, i) not in _PUT]
    return bool(tools & set(inside)) and not rest and len(inside) <= 4


def _asked(text: Text, inside: range) -> bool:
    return (
        bool(_ASKING & set(words(text, inside.start, inside.start + 2)))
        or word(text, inside.stop) == "?"
        or "how" in words(text, inside.start, inside.stop)
    )


def _denied(text: Text, hit: Hit) -> bool:
    after = next(
        (i for i in range(hit.stop, len(text.tokens)) if word(text, i) not in ("is", "are", "the", "now", "all")), 0
    )
    ended = word(text, after) in ("done", "finished", "over", "complete", "completed", "ended")
    return ended or word(text, hit.start - 1) in (
        "no",
        "not",
        "dont",
        "don't",
        "before",
        "after",
        "without",
        "out",
        "off",
        "done",
        "of",
    )


def _bare_behind_subject(text: Text, hit: Hit, inside: range) -> Lasting | None:
    """ "float bag 15": the number ends the clause, and only the thing that waits stands between."""
    last = next((m for m in text.measures if m.stop == inside.stop and m.start > hit.stop), None)
    between = words(text, hit.stop, last.start) if last else []
    short = len(between) <= 2 and all(each.isalpha() for each in between)
    return bare_minutes(text, last.start, inside) if last and between and short else None


def _claim(text: Text, hit: Hit, span: frozenset[int], inside: range, made: Wait, last: Lasting | None) -> Claim:
    used = span | (last.used if last else frozenset())
    amount = _amount(text, inside, used)
    used |= amount.span if amount else frozenset()
    subject, named = _subject(text, hit, inside, used)
    used |= named | _small_around(text, inside, used | named)
    item = _filled(text, made, last, amount, subject)
    return Claim((item,), used, weigh(text.tokens, used, 1.1 if last or len(hit.span) > 1 else 0.8))


def _amount(text: Text, inside: range, used: frozenset[int]) -> Measure | None:
    """The litres or gallons that something lies in."""
    found = (m for m in text.measures if m.start in inside and m.stop <= inside.stop and not m.span & used)
    return next((m for m in found if m.unit("volume") and not m.unit("temperature")), None)


def _filled(text: Text, made: Wait, last: Lasting | None, amount: Measure | None, subject: str | None) -> Item:
    quantity = amount.quantity("volume") if amount else None
    wait = replace(
        made,
        amount=quantity.value if quantity else None,
        unit=quantity.unit if quantity else None,
        subject=subject,
        started=last.started if last else None,
    )
    if last and last.bare is not None:
        if made.wait in _NOT_MINUTES:
            return Clarify("which_unit", f"{last.bare:g}", value=last.bare, options=("min", "h", "day"), about=wait)
        return replace(wait, minutes=_possible(made.wait, last.bare))
    return replace(wait, minutes=_possible(made.wait, last.minutes) if last else None)


def _possible(kind: str, minutes: float | None) -> float | None:
    """A length that the kind can have; a dip longer than any bath has none, and is asked about."""
    longest = table("words_waits")["longest"].get(kind)
    good = minutes is not None and minutes > 0 and (longest is None or minutes <= longest)
    return minutes if good else None


def _step(text: Text, hit: Hit) -> str | None:
    if hit.meaning != "rinse_soak":
        return None
    found = {
        h.meaning for place in range(hit.start, hit.stop) for h in lexicon("words_waits", "step").at(text.tokens, place)
    }
    return next((step for step in ("neutralise", "dry", "acid") if step in found), None)


_PUT = around("waits", "put")
_EDGE = around("waits", "edge")


def _subject(text: Text, hit: Hit, inside: range, used: frozenset[int]) -> tuple[str | None, frozenset[int]]:
    """What waits: the words before the phrase, else those behind it; words already used and tanks left out."""
    before = _run(text, range(inside.start, hit.start), used, last=True)
    after = _run(text, range(hit.stop, inside.stop), used, last=False)
    between = _run(text, range(hit.start, hit.stop), used, last=False)
    chosen = between or (before if before and not _is_deed(text, before) else after or _inner(text, hit))
    return (text.typed(chosen.start, chosen.stop), frozenset(chosen)) if chosen else (None, frozenset())


def _run(text: Text, stretch: range, used: frozenset[int], last: bool) -> range | None:
    """The first or last run of words in a stretch that are free, small words at its edges left out."""
    runs: list[list[int]] = [[]]
    for place in stretch:
        if _free(text, place, used):
            runs[-1].append(place)
        elif runs[-1]:
            runs.append([])
    kept = [run for run in runs if any(word(text, i) not in _PUT for i in run)]
    if not kept:
        return None
    run = kept[-1] if last else kept[0]
    while word(text, run[0]) in _PUT:
        run.pop(0)
    while word(text, run[-1]) in _PUT:
        run.pop()
    return range(run[0], run[-1] + 1)


def _free(text: Text, place: int, used: frozenset[int]) -> bool:
    token = text.tokens[place]
    named = any(m.start <= place < m.stop and m.plausible >= 0.9 for m in text.mentions)
    told = any(place in each.span for each in (*text.past, *text.durations))
    return (
        place not in used
        and not named
        and not told
        and (token.is_word or token.is_number or token.text in ("-", "&", "'", "+") or _lists_tools(text, place))
    )


def _lists_tools(text: Text, place: int) -> bool:
    """The comma of "nets, 2 buckets"."""
    return word(text, place) == "," and any(place - 1 in hit.span for hit in text.hits("words_waits", "tool"))


def _is_deed(text: Text, run: range) -> bool:
    """The words before belong to something else that was done or measured ("temp 78 float 20")."""
    return any(text.tokens[i].is_number for i in run[-1:])


def _inner(text: Text, hit: Hit) -> range | None:
    """ "soaking nets", "heating the vat": the phrase itself names what waits."""
    tools = [h for place in range(hit.start, hit.stop) for h in lexicon("words_waits", "tool").at(text.tokens, place)]
    return (
        range(tools[0].start, tools[0].stop)
        if tools
        else (range(hit.start, hit.stop) if hit.meaning == "other" else None)
    )


def _small_around(text: Text, inside: range, used: frozenset[int]) -> frozenset[int]:
    """Small words between the used ones."""
    stretch = range(min(used), max(used))
    between = frozenset(
        i
        for i in stretch
        if i not in used and (word(text, i) in _PUT or word(text, i) in _EDGE or word(text, i) == ",")
    )
    lead = min(used)
    while lead > inside.start and word(text, lead - 1) in _PUT and word(text, lead - 1) not in ("and", "n"):
        lead -= 1
    named = frozenset(i for m in text.mentions if m.plausible >= 1 for i in m.span)
    return (between | frozenset(range(lead, min(used)))) - named
