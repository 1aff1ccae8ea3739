"""What waits: "net and arch" in bleach, "2 clowns" floating; and the small words that belong to it."""

from __future__ import annotations

from bot.understanding.clauses import is_named, places, word
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.text import Text
from bot.understanding.waits_kinds import EDGE, PUT, tools_in

_MARKS = frozenset(("-", "&", "'", "+"))


def subject_of(text: Text, hit: Hit, inside: range, used: frozenset[int]) -> range:
    """The words between or before the words of the wait, else those behind them; empty where nothing is named."""
    free = _free(text, inside, used)
    between = _run(text, range(hit.start, hit.stop), free, last=False)
    before = _run(text, range(inside.start, hit.start), free, last=True)
    after = _run(text, range(hit.stop, inside.stop), free, last=False)
    return between or before or after or _inner(text, hit)


def _run(text: Text, stretch: range, free: frozenset[int], last: bool) -> range:
    """The first or last run of free words in a stretch, small words at its edges left out."""
    runs: list[list[int]] = [[]]
    for place in stretch:
        if place in free:
            runs[-1].append(place)
        elif runs[-1]:
            runs.append([])
    kept = [run for run in runs if any(text.tokens[i].is_word and word(text, i) not in PUT for i in run)]
    if not kept:
        return range(0)
    run = kept[-1] if last else kept[0]
    while word(text, run[0]) in PUT:
        run.pop(0)
    while word(text, run[-1]) in PUT:
        run.pop()
    return range(run[0], run[-1] + 1)


def _free(text: Text, inside: range, used: frozenset[int]) -> frozenset[int]:
    """Words and numbers that name nothing else: no tank, no time, no other deed, no reading."""
    deeds = [
        h for h in text.hits("words_events", "head") if h.meaning in ("water_change", "top_off", "feeding", "dose")
    ]
    names = text.hits("words_readings", "parameter")
    values = [m for name in names if (m := text.measure_at(name.stop)) and not m.unit("time")]
    valued = [name for name in names if any(m.start == name.stop for m in values)]
    taken = used | places(text.past, text.durations, deeds, valued, values)
    tools = places(tools_in(text))
    return frozenset(i for i in inside if i not in taken and not _is_tank(text, i) and _may_name(text, i, tools))


def _is_tank(text: Text, place: int) -> bool:
    return any(m.start <= place < m.stop and m.plausible >= 0.9 for m in text.mentions)


def _may_name(text: Text, place: int, tools: frozenset[int]) -> bool:
    """A word, a number, a joining mark, or the comma of "nets, 2 buckets"."""
    token = text.tokens[place]
    return token.is_word or token.is_number or token.text in _MARKS or (token.text == "," and place - 1 in tools)


def _inner(text: Text, hit: Hit) -> range:
    """ "soaking nets", "heating the vat": the phrase itself names what waits."""
    tools = [h for place in range(hit.start, hit.stop) for h in lexicon("words_waits", "tool").at(text.tokens, place)]
    if tools:
        return range(tools[0].start, tools[0].stop)
    return range(hit.start, hit.stop) if hit.meaning == "other" else range(0)


def small_around(text: Text, inside: range, used: frozenset[int]) -> frozenset[int]:
    """Small words between the used ones and just before them; names of tanks are left out."""
    first, last = min(used), max(used)
    small = PUT | EDGE | {","}
    between = (i for i in range(first, last) if i not in used and word(text, i) in small)
    lead = first
    while lead > inside.start and word(text, lead - 1) in PUT and word(text, lead - 1) not in ("and", "n"):
        lead -= 1
    return frozenset(i for i in (*between, *range(lead, first)) if not is_named(text, i))
