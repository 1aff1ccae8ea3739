"""Changes of the plan: "move quillow to thu am", "tomasz sick today", "vantree closed monday"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from bot.items import Schedule
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, is_named, word, words
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.rhythm import rhythm_in
from bot.understanding.running import people_in
from bot.understanding.text import Text
from bot.understanding.times import Instant

TABLE = "words_setup"
_SMALL = frozenset(POLITE | around("schedule", "small"))
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def claims(text: Text) -> Iterator[Claim]:
    """Every change of who is where when."""
    for hit in text.hits(TABLE, "schedule"):
        if hit.meaning == "move":
            yield from _moved(text, hit)
        elif hit.meaning in ("sick", "off", "holiday"):
            yield from _away(text, hit)
        elif hit.meaning in ("closed", "skip"):
            yield from _no_visit(text, hit)
        elif hit.meaning == "cancel" and {"visit", "visits"} & set(words(text, *_ends(clause(text, hit.start)))):
            yield from _no_visit(text, replace(hit, meaning="skip"))
    yield from _round(text)


def _ends(inside: range) -> tuple[int, int]:
    return inside.start, inside.stop


def _when(text: Text, inside: range, start: int = 0) -> list[Instant]:
    return [w for w in text.ahead if w.start in inside and w.start >= start and not w.is_now]


def _at(when: Instant) -> datetime | date:
    return when.at if when.exact else when.day


def _moved(text: Text, hit: Hit) -> Iterator[Claim]:
    """A visit is moved where a tank and, behind it, a day are named."""
    inside = clause(text, hit.start)
    tanks, _ = tanks_in(text, inside)
    whens = _when(text, inside, hit.stop)
    put = word(text, hit.start) == "put" and not {"off", "back"} & set(words(text, hit.stop, inside.stop))
    if tanks and whens and hit.start <= inside.start + 2 and not (put or _other_things(text, inside)):
        used = frozenset(inside)
        items = tuple(Schedule("visit", tank, to=_at(whens[-1])) for tank in tanks)
        yield Claim(items, used, weigh(text.tokens, used, 1.4))


def tanks_in(text: Text, inside: range) -> tuple[tuple[str, ...], frozenset[int]]:
    """The tank that is named in a stretch; all of a site where its name alone was said (the words that their names
    begin with); none where several are meant otherwise.
    """
    tank, named = tank_in(text, inside)
    found = [m for m in text.mentions if m.start in inside and not m.vat and m.plausible >= 1]
    if tank or len(found) != 1:
        return ((tank,) if tank else ()), named
    heads = {option.split()[0].casefold() for option in found[0].options}
    said = {word(text, i) for i in found[0].span}
    return (found[0].options, found[0].span) if len(heads) == 1 and heads <= said else ((), frozenset())


def _other_things(text: Text, inside: range) -> bool:
    """An animal or a machine in the clause: no visit is moved, "swap the uv bulb at kestrel on friday"."""
    groups = (("words_animals", "animal"), ("words_machines", "machine"))
    return any(not is_named(text, hit.start) for group in groups for hit in hits_in(text, inside, *group))


def _away(text: Text, hit: Hit) -> Iterator[Claim]:
    """Someone of the team is sick, off or on holiday; oneself ("i'm off fri to sun") only with a day."""
    inside = clause(text, hit.start)
    people = [(who, place) for who, place in people_in(text) if place in inside]
    whens, me = _when(text, inside), _oneself(text, inside)
    if len(people) != 1 and (people or not me or not (whens or _week_in(text, inside))):
        return
    who, named = people[0][0] if people else None, {people[0][1]} if people else me
    told = {i for w in whens for i in w.span} | named | hit.span | _days(text, inside)
    rest = [i for i in inside if i not in told and word(text, i) not in _SMALL | _GIVEN and text.tokens[i].is_word]
    if not rest:
        opening = _opening_day(text, inside, whens)
        until = _at(whens[-1]) if opening or len(whens) > 1 else None
        first, until = _in_order(opening or _first(text, whens), until, text.situation.now.date())
        first, until = _week_in(text, inside) or (first, until)
        item = Schedule(hit.meaning, who=who, due=first, to=until)
        used = frozenset(inside)
        yield Claim((item,), used, weigh(text.tokens, used, 1.4))


_GIVEN = around("schedule", "given")


def _first(text: Text, whens: list[Instant]) -> datetime | date:
    return _at(whens[0]) if whens else text.situation.now.date()


def _oneself(text: Text, inside: range) -> set[int]:
    """ "i'm", "im" or "i am" at the head of the clause; nothing for anybody else."""
    head = words(text, inside.start, min(inside.start + 3, inside.stop))
    size = next((n for n in (1, 2, 3) if "".join(head[:n]).replace("'", "") in ("im", "iam")), 0)
    return set(range(inside.start, inside.start + size))


Day = datetime | date


def _in_order(first: Day, until: Day | None, today: date) -> tuple[Day, Day | None]:
    """ "off tue to thu" said on a Tuesday begins today; "off mon to wed" said then is next week's."""
    if until is None or isinstance(first, datetime) or isinstance(until, datetime) or first <= until:
        return first, until
    week = timedelta(days=7)
    return (first - week, until) if first - week >= today else (first, until + week)


def _opening_day(text: Text, inside: range, whens: list[Instant]) -> date | None:
    """The first day of "10 to 17 march", of which only the last is a date by itself; None where there is no such."""
    if len(whens) != 1:
        return None
    for place in inside:
        measure = text.measure_at(place)
        joined = word(text, place + 1) in ("to", "-", "until", "till", "through") and place + 2 == whens[0].start
        if joined and measure and not measure.units and 1 <= measure.number.value < whens[0].day.day:
            return whens[0].day.replace(day=int(measure.number.value))
    return None


def _week_in(text: Text, inside: range) -> tuple[date, date] | None:
    """What is left of this week, or the whole of the next, where it is named."""
    said, today = words(text, inside.start, inside.stop), text.situation.now.date()
    before = said[said.index("week") - 1] if "week" in said[1:] else ""
    monday = today - timedelta(days=today.weekday()) + timedelta(days=7 * (before == "next"))
    return (max(today, monday), monday + timedelta(days=6)) if before in ("this", "next") else None


def _days(text: Text, inside: range) -> set[int]:
    """Numbers and months of a span of days: "10 to 17 march"."""
    months = {i for p in inside for h in lexicon("words_times", "month").at(text.tokens, p) for i in h.span}
    return months | {i for i in inside if text.tokens[i].is_number}


def _no_visit(text: Text, hit: Hit) -> Iterator[Claim]:
    """A place is closed: one of its tanks stands for it. A visit is left out: at every tank of a site."""
    inside = clause(text, hit.start)
    tanks, named = tanks_in(text, inside)
    tanks = tanks[:1] if hit.meaning == "closed" else tanks
    whens = _when(text, inside)
    told = {i for w in whens for i in w.span} | named | hit.span | _days(text, inside)
    told |= {i for i in inside if word(text, i) in ("visit", "visits", "week", "next", "this")}
    rest = [i for i in inside if i not in told and word(text, i) not in _SMALL and text.tokens[i].is_word]
    if (
        tanks
        and not rest
        and (whens or hit.meaning == "skip" or {"today", "week"} & set(words(text, inside.start, inside.stop)))
    ):
        opening = _opening_day(text, inside, whens)
        due, to = (_at(whens[0]) if whens else None), (_at(whens[-1]) if opening or len(whens) > 1 else None)
        week = _week_in(text, inside)
        if week:
            due, to = (None if hit.meaning == "skip" else week[0]), week[1]
        items = tuple(Schedule(hit.meaning, tank, due=opening or due, to=to) for tank in tanks)
        used = frozenset(inside)
        yield Claim(items, used, weigh(text.tokens, used, 1.4))


def _round(text: Text) -> Iterator[Claim]:
    """ "quillow tue every 2 weeks": a tank, a weekday and a rhythm, and no more."""
    for mention in text.mentions:
        inside = clause(text, mention.start)
        rhythm = rhythm_in(text, inside)
        if not rhythm or rhythm.days is None or len(mention.options) != 1:
            continue
        days = [h for p in inside for h in lexicon("words_times", "weekday").at(text.tokens, p)]
        told = mention.span | rhythm.used | {i for h in days for i in h.span}
        rest = [
            i for i in inside if i not in told and word(text, i) not in _SMALL | {"every"} and text.tokens[i].is_word
        ]
        if not rest:
            weekday = _WEEKDAYS[int(days[0].meaning)] if days else None
            item = Schedule("visit", mention.options[0], every_days=rhythm.days, weekday=weekday)
            used = frozenset(inside)
            yield Claim((item,), used, weigh(text.tokens, used, 1.4))
