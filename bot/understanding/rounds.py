"""Who goes where and whose job it is: "ines takes tarnwick today", "tomasz back tomorrow", "we are closed 25 dec",
"done order salt", "i've got the glass", "quillow 85 a visit", "quillow contract ends 30 june".
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from bot.items import Control, Item, Schedule, Setting
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, hits_in, line, word
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, around
from bot.understanding.running import people_in
from bot.understanding.schedule import tanks_in
from bot.understanding.text import Text
from bot.understanding.times import Instant

TABLE = "words_round"
_SMALL = frozenset(POLITE | around("schedule", "small") | {"it", "for", "us", "all", "and"})


def claims(text: Text) -> Iterator[Claim]:
    """Every sentence about who goes where, and whose job is done or taken."""
    yield from _goes(text)
    yield from _given(text)
    yield from _back(text)
    yield from _nobody(text)
    yield from _oneself(text)
    yield from _did(text)
    yield from _taken(text)
    yield from _priced(text)
    yield from _expiring(text)
    yield from _topic(text)


def _ahead(text: Text, inside: range) -> list[Instant]:
    return [w for w in text.ahead if w.start in inside and not w.is_now]


def _day(when: Instant) -> datetime | date:
    return when.at if when.exact else when.day


def _made(text: Text, item: Item, inside: range, plausible: float = 1.45) -> Claim:
    used = frozenset(inside)
    return Claim((item,), used, weigh(text.tokens, used, plausible))


def _left(text: Text, inside: range, *told: frozenset[int]) -> list[int]:
    """The words of a stretch that nothing accounts for."""
    known = frozenset[int]().union(*told)
    return [i for i in inside if i not in known and word(text, i) not in _SMALL and text.tokens[i].is_word]


def _spans(whens: list[Instant]) -> frozenset[int]:
    return frozenset(i for w in whens for i in w.span)


def _goes(text: Text) -> Iterator[Claim]:
    """ "ines takes tarnwick", "tomasz does quillow on thu"."""
    for hit in text.hits(TABLE, "goes"):
        inside = clause(text, hit.start)
        people = [(who, place) for who, place in people_in(text) if place == hit.start - 1]
        tanks, named = tanks_in(text, inside)
        if people and tanks and min(named) >= hit.stop:
            yield from _visit(text, inside, people[0][0], tanks, named | hit.span | {people[0][1]})


def _given(text: Text) -> Iterator[Claim]:
    """ "give tarnwick to ines": asked of her, as anything that is handed over."""
    for hit in text.hits(TABLE, "given"):
        inside = clause(text, hit.start)
        tank, named = tank_in(text, inside)
        to = [(who, place) for who, place in people_in(text) if place in inside and word(text, place - 1) == "to"]
        if tank and to and hit.start == inside.start:
            whens = _ahead(text, inside)
            if not _left(text, inside, named | hit.span | {to[0][1], to[0][1] - 1}, _spans(whens)):
                when = whens[0] if whens else None
                day, at = (when.day if when else None), (when.at if when and when.exact else None)
                yield _made(text, Control("hand_over", tank, who=to[0][0], date=day, at=at), inside)


def _visit(text: Text, inside: range, who: str, tanks: tuple[str, ...], told: frozenset[int]) -> Iterator[Claim]:
    """Of every tank where the name of a site alone was said."""
    whens = _ahead(text, inside)
    if not _left(text, inside, told, _spans(whens)):
        due, used = (_day(whens[0]) if whens else None), frozenset(inside)
        items = tuple(Schedule("visit", tank, who, due=due) for tank in tanks)
        yield Claim(items, used, weigh(text.tokens, used, 1.45))


def _back(text: Text) -> Iterator[Claim]:
    """ "tomasz back tomorrow"."""
    for hit in text.hits(TABLE, "back"):
        inside = clause(text, hit.start)
        people = [(who, place) for who, place in people_in(text) if place in inside and place < hit.start]
        whens = _ahead(text, inside)
        if people and not _left(text, inside, hit.span, frozenset({people[0][1]}), _spans(whens)):
            due = _day(whens[0]) if whens else text.situation.now.date()
            yield _made(text, Schedule("back", who=people[0][0], due=due), inside)


def _nobody(text: Text) -> Iterator[Claim]:
    """ "we are closed 25 dec": the whole team; each day of a list is one of its own."""
    for hit in text.hits(TABLE, "team"):
        inside = line(text, hit.start)
        whens = _ahead(text, inside)
        if whens and not _left(text, inside, hit.span, _spans(whens)) and not people_in(text):
            spans = " - " in f" {text.typed(hit.stop, inside.stop)} " or {"to", "until", "till"} & _words(text, inside)
            items = tuple(Schedule("closed", due=w.day) for w in whens)
            if spans and len(whens) == 2:
                items = (Schedule("closed", due=whens[0].day, to=whens[1].day),)
            used = frozenset(inside)
            yield Claim(items, used, weigh(text.tokens, used, 1.45))


def _words(text: Text, inside: range) -> set[str]:
    return {word(text, i) for i in inside}


def _oneself(text: Text) -> Iterator[Claim]:
    """ "i'm sick today": whoever writes."""
    for hit in text.hits(TABLE, "self"):
        inside = clause(text, hit.start)
        whens = _ahead(text, inside)
        if hit.start == inside.start and not people_in(text) and not _left(text, inside, hit.span, _spans(whens)):
            due = _day(whens[0]) if whens else text.situation.now.date()
            yield _made(text, Schedule("sick", due=due), inside, 1.2)


def _did(text: Text) -> Iterator[Claim]:
    """ "done order salt", "order salt done": a task by its words, which open like one."""
    for hit in text.hits(TABLE, "did"):
        inside = clause(text, hit.start)
        rest = range(hit.stop, inside.stop) if hit.start == inside.start else range(inside.start, hit.start)
        verbs = {h.start for h in text.hits("words_tasks", "verb")} | {
            h.start for h in text.hits("words_tasks", "opens")
        }
        if (
            _fits(hit, inside)
            and rest
            and rest.start in verbs
            and not hits_in(text, rest, "words_controls", "wait_name")
        ):
            yield _made(text, Control("done", subject=text.typed(rest.start, rest.stop).strip(" :")), inside, 1.3)


def _fits(hit: Hit, inside: range) -> bool:
    return (hit.meaning == "before" and hit.start == inside.start) or (
        hit.meaning == "after" and hit.stop == inside.stop and hit.start > inside.start
    )


def _taken(text: Text) -> Iterator[Claim]:
    """ "i've got the glass": a job at the tank, claimed."""
    for hit in text.hits(TABLE, "claims"):
        inside = clause(text, hit.start)
        rest = range(hit.stop, inside.stop)
        short = 0 < len(rest) <= 4 and not any(text.tokens[i].is_number for i in rest)
        if hit.start == inside.start and short and not hits_in(text, rest, "words_controls", "wait_name"):
            yield _made(text, Control("claim", subject=text.typed(rest.start, rest.stop)), inside, 0.9)


def _priced(text: Text) -> Iterator[Claim]:
    """ "quillow 85 a visit", "quillow 60 per hour": what the client of a tank pays."""
    for hit in text.hits(TABLE, "price"):
        inside = clause(text, hit.start)
        tank, named = tank_in(text, inside)
        sums = [i for i in inside if text.tokens[i].is_number and i not in named]
        if tank and len(sums) == 1 and not _left(text, inside, named, hit.span, frozenset(sums)):
            amount = text.measure_at(sums[0])
            if amount and not amount.units:
                values = {"per": hit.meaning, "amount": amount.number.value}
                yield _made(text, Setting("price", tank, values), inside)


def _expiring(text: Text) -> Iterator[Claim]:
    """ "quillow contract ends 30 june", "quillow dental key due back 1 may", "door code **** until friday"."""
    for hit in text.hits(TABLE, "expires"):
        whole = line(text, hit.start)
        inside = whole if "*" in _words(text, whole) else clause(text, hit.start)
        things = [h for h in hits_in(text, inside, TABLE, "expiring") if h.stop <= hit.start]
        ahead = _ahead(text, inside)
        whens = [w for w in ahead if w.start >= hit.stop] or [w for w in ahead if w.stop > hit.stop]
        if not things or len(whens) != 1 or whens[0].start > hit.stop + 1:
            continue
        thing = max(things, key=lambda h: h.stop - h.start)
        tank, named = tank_in(text, inside)
        stars = frozenset(i for i in inside if word(text, i) == "*")
        rest = _left(text, inside, named, thing.span, hit.span, whens[0].span, stars)
        if len(rest) <= _PLACE and not any(text.tokens[i].is_number for i in rest):
            place = {"place": " ".join(word(text, i) for i in rest)} if rest else {}
            told = {} if thing.meaning == "contract" else {"what": thing.meaning}
            subject = "expiry" if told else "contract"
            ends = Setting(subject, tank, {**told, "ends": whens[0].day.isoformat(), **place})
            code = (Setting("code", tank, place),) if stars and thing.meaning == "code" else ()
            used = frozenset(inside)
            yield Claim((*code, ends), used, weigh(text.tokens, used, 1.75))


_PLACE = 3
"""So many words may name a client beside its tank."""


def _topic(text: Text) -> Iterator[Claim]:
    """ "topic quillow", "this topic is office": the whole message."""
    for hit in text.hits(TABLE, "topic"):
        inside = range(hit.stop, len(text.tokens))
        tank, named = tank_in(text, inside)
        own = [h for h in hits_in(text, inside, TABLE, "topic_name") if h.stop == inside.stop]
        told = named if tank else own[0].span if own else frozenset[int]()
        if hit.start == 0 and told and not _left(text, inside, told):
            values = {} if tank else {"name": own[0].meaning}
            yield _made(text, Setting("topic", tank, values), range(len(text.tokens)))
