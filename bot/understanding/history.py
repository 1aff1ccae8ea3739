"""Questions about the past: "last temp?", "what changed at oak", "who was there last", "what touched net 3".

`subject` says what is asked, a key of facts/words_controls.toml, [history]: last, trend, changed, who_last, touched,
batch, why, trail. `reason` names what it is about where that is no parameter: an event, or a tool ("net 3").
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.items import Control
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, past_small, places, sentence, timed, word
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, around
from bot.understanding.parameters import Name
from bot.understanding.text import Text
from bot.understanding.times import Instant

_SMALL = frozenset(POLITE | around("history", "small"))


def claims(text: Text) -> Iterator[Claim]:
    """Each phrase that asks about the past, with what it is about, of which tank and since when."""
    for hit in text.hits("words_controls", "history"):
        if hit.start and text.tokens[hit.start - 1].is_number:
            continue  # the "min" of "20 min" is no lowest value
        if hit.meaning in ("last", "trend", "extremes"):
            yield from _of_parameter(text, hit)
            yield from _of_event(text, hit)
        elif hit.start == _first(text, hit):
            yield _of_past(text, hit)
    yield from _of_day(text)
    yield from _of_plural(text)


def _of_day(text: Text) -> Iterator[Claim]:
    """ "temp yesterday?", "ph last week?": a parameter and a day behind, asked, with no value."""
    if not text.tokens:
        return
    inside = clause(text, max(len(text.tokens) - 1 - (text.tokens[-1].text == "?"), 0))
    names = [n for n in text.parameters if n.start in inside and not n.letter]
    days = [
        w
        for w in text.past
        if w.start in inside and not w.is_now and (w.day < text.situation.now.date() or not w.exact)
    ]
    known = places(names[:1], days)
    rest = [i for i in inside if i not in known and word(text, i) not in _SMALL and not _named(text, i)]
    if names and days and not rest and (text.tokens[-1].text == "?" or _in_words(text, days[0])):
        control = Control("history", parameter=names[0].parameter, subject="last", date=days[0].day)
        yield _claim(text, control, inside, inside, names[0])


def _of_plural(text: Text) -> Iterator[Claim]:
    """ "water changes at oak today", "doses oak this week": several of a kind without a number are asked about."""
    for end in (1, 2):
        if word(text, end - 1) in around("history", "plurals") and " ".join(
            t.text for t in text.tokens[:end]
        ) in around("history", "plural_heads"):
            inside = sentence(text, 0)
            if not any(m.start in inside for m in text.measures):
                yield _of_past(text, Hit(0, end, "changed"))


def _in_words(text: Text, day: Instant) -> bool:
    """ "ph yesterday", "salinity on the 10th"; "nitrate 5/10" may be a range."""
    numbers = any(text.tokens[i].is_number for i in day.span)
    return not numbers or any(word(text, i) in ("on", "from") for i in (day.start - 1, *day.span))


def _first(text: Text, hit: Hit) -> int:
    """Where the sentence begins, polite words aside; "trail" and "audit" may stand anywhere in a short one."""
    inside = sentence(text, hit.start)
    if hit.meaning in ("trail", "batch"):
        return hit.start
    return past_small(text, inside.start, inside.stop, POLITE - {"what", "who", "why"})


def _of_parameter(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "last temp?", "last 5 ph", "nitrate trend 90 days", "graph alk": no value stands beside the parameter."""
    inside = clause(text, hit.start)
    names = [n for n in text.parameters if n.start in inside and not n.letter]
    for name in names[:1]:
        days, number, told = _span(text, inside)
        used = hit.span | name.span | told
        known = used | timed(text)
        rest = [i for i in inside if i not in known and word(text, i) not in _SMALL and not _named(text, i)]
        if rest or _has_value(text, inside, told):
            continue
        control = Control("history", parameter=name.parameter, days=days, number=number, subject=hit.meaning)
        yield _claim(text, control, inside, inside, name)


def _has_value(text: Text, inside: range, told: frozenset[int]) -> bool:
    told |= timed(text)
    return any(
        m.start in inside and m.start not in told and not any(m.start in x.span for x in text.mentions)
        for m in text.measures
    )


def _of_event(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "last wc", "when was the last feeding"."""
    if hit.meaning != "last":
        return
    inside = clause(text, hit.start)
    heads = [h for h in text.hits("words_events", "head") if h.start in inside and h.start >= hit.stop]
    names = [n for n in text.parameters if n.start in inside and not n.letter]
    rest = [i for i in inside if i not in hit.span and word(text, i) not in _SMALL and not _named(text, i)]
    rest = [i for i in rest if not heads or i not in heads[0].span]
    asked = word(text, hit.start) in (
        "when",
        "whens",
        "when's",
        "how",
        "show",
        "days",
        "what",
        "last",
        "latest",
        "most",
        "previous",
    )
    if heads and asked and not rest:
        yield _claim(text, Control("history", subject="last", reason=heads[0].meaning), inside, inside, None)
    elif (
        not names and word(text, hit.start) in ("when", "whens", "when's", "how") and len(inside) > hit.stop - hit.start
    ):
        left = {word(text, i) for i in range(hit.stop, inside.stop) if not _named(text, i)}
        about = Control("history", subject="last", reason=text.typed(hit.stop, inside.stop))
        if left <= _VISITED:
            about = Control("history", subject="who_last")
        yield _claim(text, about, inside, inside, None)


_VISITED = around("history", "visited")


def _of_past(text: Text, hit: Hit) -> Claim:
    inside = sentence(text, hit.start)
    control = Control("history", subject=hit.meaning)
    if hit.meaning == "batch":
        control = replace(control, number=_number(text, inside))
    elif hit.meaning in ("touched", "why"):
        control = replace(control, reason=_about(text, hit, inside))
    days, _, _ = _span(text, inside)
    day = next((w for w in text.past if w.start in inside and not w.is_now), None)
    control = replace(control, days=days, date=day.day if day else None)
    return _claim(text, control, inside, inside, None)


def _number(text: Text, inside: range) -> int | None:
    numbers = [n for n in text.numbers if n.start in inside and n.value.is_integer()]
    return int(numbers[-1].value) if numbers else None


def _about(text: Text, hit: Hit, inside: range) -> str | None:
    """The thing asked about: the words behind the phrase up to a date, a "been" or a "since"."""
    ends = [w.start for w in text.past if w.start >= hit.stop and w.start in inside]
    ends += [i for i in range(hit.stop, inside.stop) if word(text, i) in ("been", "since", "touch", "go", "on")]
    stop = min([inside.stop, *ends])
    return text.typed(hit.stop, stop).strip(" ?") or None


_MOST_READINGS = 500


def _span(text: Text, inside: range) -> tuple[float | None, int | None, frozenset[int]]:
    """How many days back, or how many readings; and the tokens that say so."""
    for length in text.durations:
        if length.start in inside and length.unit in ("day", "week", "month", "year"):
            return length.minutes / 1440, None, length.span
    for measure in text.measures:
        before, value = word(text, measure.start - 1), measure.number.value
        counted = measure.start in inside and not measure.units and value.is_integer() and 0 < value <= _MOST_READINGS
        if counted and before in ("last", "past", "previous", "latest", "recent"):
            return None, int(value), measure.span
    return None, None, frozenset()


def _named(text: Text, place: int) -> bool:
    return any(m.start <= place < m.stop for m in text.mentions)


def _claim(text: Text, control: Control, inside: range, stretch: range, name: Name | None) -> Claim:
    tank, _ = tank_in(text, inside)
    used = frozenset(stretch)
    if word(text, inside.stop) == "?":
        used |= {inside.stop}
    return Claim((replace(control, tank=tank),), used, weigh(text.tokens, used, 1.5))
