"""Everyday questions that are no sum: "how is merriwick", "who is out", "losses this month", "what should alk be".

One table of subjects (facts/words_lookups.toml): a phrase, and beside it nothing but little words, a tank or a vat, a
person, a day or a span, and what is measured. They are questions of the topic `other` whose `inputs` say what is asked:
`about` (a key of the table), `who`, `day`, `period`, `parameter`. A question that fits none has no `about`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from bot.items import Control, Item, Quantity, Question
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import hits_in, past_small, places, sentence, word
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.names import Mention
from bot.understanding.parameters import Name
from bot.understanding.running import people_in
from bot.understanding.text import Text
from bot.understanding.times import Instant

TABLE = "words_lookups"
_SURE = 1.22
"""Less than an order to the bot or a question about one tank's past, more than a deed that would leave words over."""


def claims(text: Text) -> Iterator[Claim]:
    """Each subject whose sentence holds nothing else."""
    for group in ("said", "asked"):
        for hit in text.hits(TABLE, group):
            inside = sentence(text, hit.start)
            if group == "said" or asks(text, inside):
                yield from _lookup(text, hit, inside)
    yield from _again(text)


def _again(text: Text) -> Iterator[Claim]:
    """ "what about 25%", "and to 1.026?": the last sum once more, with this number in it."""
    opening = lexicon(TABLE, "again").at(text.tokens, 0)
    if len(text.measures) != 1 or not opening:
        return
    measure, whole = text.measures[0], range(len(text.tokens))
    rest = (i for i in whole if i not in opening[0].span | measure.span and not _is_little(text, i))
    if opening[0].stop < measure.stop and next(rest, None) is None:
        said = Quantity(measure.number.value, measure.units[0].name if measure.units else "")
        before = {"name": w} if (w := word(text, measure.start - 1)) in ("to", "from") else {}
        item = Question("other", {"about": "again", "value": said, **before}, text=text.raw)
        yield Claim((item,), frozenset(whole), weigh(text.tokens, whole, 1.3))


def asks(text: Text, inside: range) -> bool:
    """Whether a sentence opens like a question, a greeting aside, or ends with its mark."""
    opened = lexicon(TABLE, "opens").at(text.tokens, _opening(text, inside))
    return bool(opened) or word(text, inside.stop) == "?"


_GREETINGS = around("lookups", "greetings")


def is_asked(text: Text) -> bool:
    """Whether a message that nothing else could be made of is a question: it opens with a question word, or with a verb
    and who or what it is about; or it ends with the mark.
    """
    if not any(token.is_word for token in text.tokens):
        return False
    starts = dict.fromkeys(_opening(text, sentence(text, i)) for i in range(len(text.tokens)))
    return text.tokens[-1].text == "?" or any(_opens_question(text, place) for place in starts)


def _opens_question(text: Text, place: int) -> bool:
    asking = lexicon(TABLE, "sure").at(text.tokens, place) or word(text, place) in _ASKING
    verb = word(text, place) in _VERBS and place + 1 < len(text.tokens)
    about = verb and (text.tokens[place + 1].is_number or word(text, place + 1) in _ABOUT or _is_named(text, place + 1))
    return bool(asking or about)


def _is_named(text: Text, place: int) -> bool:
    people = {i for _, i in people_in(text)}
    return place in people or place in places(text.mentions)


_ASKING = around("lookups", "asking")
_VERBS = around("lookups", "verbs")
_ABOUT = around("lookups", "about")


def opens_as_question(text: Text, place: int) -> bool:
    """Whether the sentence around a place opens as no order and no report does."""
    return bool(lexicon(TABLE, "sure").at(text.tokens, sentence(text, place).start))


def _lookup(text: Text, hit: Hit, inside: range) -> Iterator[Claim]:
    told = _beside(text, inside)
    free = [i for i in inside if i not in hit.span | told.places and not _is_little(text, i)]
    needs = _NEEDS.get(hit.meaning)
    if free or (needs and not needs(told)):
        return
    used = frozenset(i for i in inside if i not in told.named)
    used |= {inside.stop} if word(text, inside.stop) == "?" else frozenset()
    plausible = _SURE + _CLOSER * len(hit.span) - (_VAGUE if hit.meaning in _LAST else 0)
    yield Claim((_item(text, hit.meaning, told),), used, weigh(text.tokens, used, plausible))


def _item(text: Text, about: str, told: _Beside) -> Item:
    """The order to the bot that the question amounts to, where there is one; else the question."""
    who = told.people[0][0] if told.people else None
    if about == "round":
        span = told.periods[0].meaning if told.periods else ""
        return Control("today", date=told.days[0].day if told.days else None, days=_SPANS.get(span), who=who)
    if about == "month_visits" and told.periods[0].meaning == "last_month":
        return Control("month", date=(text.situation.now.date().replace(day=1) - timedelta(days=1)).replace(day=1))
    if about in _ORDERS:
        return replace(_ORDERS[about], who=who)
    return Question("other", {"about": about, **told.inputs}, text=text.raw)


_ORDERS = {
    "reports": Control("report"),
    "week": Control("week"),
    "month": Control("month"),
    "month_visits": Control("month"),
    "today": Control("today"),
    "load": Control("load_list"),
    "status": Control("status"),
    "lives": Control("history", subject="lives"),
    "was_here": Control("history", subject="who_last"),
    "year_of": Control("paper", subject="year"),
    "billing": Control("billing"),
}
_SPANS = {"week": 7.0, "month": 7.0}


_CLOSER = 0.01
_VAGUE = 0.05
_LAST = ("card", "name", "visitor", "round", "verdict")
"""Subjects whose words are so plain that any other subject with words there goes before them."""


def _is_little(text: Text, place: int) -> bool:
    return not (text.tokens[place].is_word or text.tokens[place].is_number) or (
        word(text, place) in lexicon(TABLE, "little").words()
    )


@dataclass(frozen=True)
class _Beside:
    """What stands in the sentence beside the subject: names, people, days, spans, what is measured, supplies."""

    opening: str
    mentions: tuple[Mention, ...]
    people: tuple[tuple[str, int], ...]
    periods: tuple[Hit, ...]
    days: tuple[Instant, ...]
    parameters: tuple[Name, ...]
    things: tuple[Hit, ...]
    animals: tuple[Hit, ...]

    @property
    def named(self) -> frozenset[int]:
        """The tokens that name tanks and vats: left to them."""
        return places(self.mentions)

    @property
    def places(self) -> frozenset[int]:
        """All tokens that are accounted for."""
        found = places(self.mentions, self.periods, self.days, self.parameters, self.things, self.animals)
        return found | {i for _, i in self.people}

    @property
    def is_bare(self) -> bool:
        """Nothing but a tank or a vat."""
        return not (self.parameters or self.people or self.days or self.things or self.periods or self.animals)

    @property
    def inputs(self) -> dict[str, Quantity | str]:
        """What is said of them, as the question carries it; a day as it is meant of what is still to come."""
        found: dict[str, Quantity | str] = {}
        found |= {"who": self.people[0][0]} if self.people else {}
        found |= {"period": self.periods[0].meaning} if self.periods else {}
        found |= {"day": self.days[0].day.isoformat()} if self.days else {}
        found |= {"parameter": self.parameters[0].parameter} if self.parameters else {}
        return found


def _beside(text: Text, inside: range) -> _Beside:
    mentions = tuple(m for m in text.mentions if m.start in inside and m.plausible >= 1)
    periods = tuple(hits_in(text, inside, TABLE, "period"))
    taken = places(mentions, periods)
    people = tuple((who, i) for who, i in _people(text) if i in inside and i not in taken)
    days = tuple(w for w in text.ahead if w.start in inside and not w.is_now and not w.span & taken)
    names = tuple(n for n in text.parameters if _is_test(text, n, inside) and n.start not in taken)
    kinds = (("words_setup", "thing"), ("words_machines", "machine"))
    things = tuple(h for kind in kinds for h in hits_in(text, inside, *kind) if h.start not in places(names))
    found = (h for h in text.hits_with_plurals("words_animals", "animal") if h.start in inside)
    animals = tuple(h for h in found if h.start not in taken and word(text, h.start) not in _ALL_ANIMALS)
    return _Beside(word(text, _opening(text, inside)), mentions, people, periods, days, names, things, animals)


def _people(text: Text) -> list[tuple[str, int]]:
    """Members of the team, also with an "'s" behind: "odile's plan"."""
    known = {f"{name.casefold()}'s": name for name in text.situation.people}
    return [*people_in(text), *((known[t.text], i) for i, t in enumerate(text.tokens) if t.text in known)]


_ALL_ANIMALS = ("fish", "animal", "animals", "livestock")


def _is_test(text: Text, name: Name, inside: range) -> bool:
    """A name of something measured; "do" in a question is a verb."""
    return name.start in inside and not name.letter and word(text, name.start) != "do"


def _opening(text: Text, inside: range) -> int:
    """Where a sentence begins, a greeting aside."""
    return past_small(text, inside.start, inside.stop, _GREETINGS)


def _is_ahead(told: _Beside) -> bool:
    """A span that reaches ahead."""
    return bool(told.periods) and told.periods[0].meaning in ("day", "week", "month")


_BE = ("is", "are")
_WHO = ("who", "whos", "who's", "whose", "anyone", "anybody")
_WHEN = ("when", "whens", "when's", "next", "what", "whats", "what's", "which", "any")
_NEEDS: dict[str, Callable[[_Beside], bool]] = {
    "verdict": lambda told: bool(told.parameters) and not (told.days or told.periods),
    "limits_of": lambda told: bool(told.parameters),
    "limits": lambda told: not told.people,
    "person": lambda told: bool(told.people),
    "team": lambda told: (
        not (told.people or told.mentions or told.parameters or told.things) and told.opening in (*_WHO, "is", "are")
    ),
    "doings": lambda told: (
        bool(told.people) and told.opening in ("what", "whats", "what's", "did", "has", "how", "hows", "how's", "list")
    ),
    "month_visits": lambda told: bool(told.periods) and told.periods[0].meaning in ("month", "last_month"),
    "minutes": lambda told: told.is_bare,
    "panel": lambda told: told.is_bare and told.opening in ("what", "which", "whats", "what's"),
    "visitor": lambda told: bool(told.mentions) and not told.people and told.opening in _WHO,
    "round": lambda told: bool(told.days or _is_ahead(told)) and not (told.mentions or told.things or told.parameters),
    "today": lambda told: not (told.days or told.periods or told.mentions),
    "next_visit": lambda told: not (told.people or told.parameters or told.periods) and told.opening in _WHEN,
    "due": lambda told: bool(told.mentions) and told.opening in (*_WHEN[:3], *_BE),
    "compare": lambda told: not told.mentions,
    "card": lambda told: told.is_bare and (bool(told.mentions) or told.opening not in ("state",)),
    "jobs": lambda told: told.is_bare and not (told.mentions and told.opening in _BE),
    "lives": lambda told: bool(told.animals) and not (told.days or told.periods or told.parameters),
    "contact": lambda told: not (told.people or told.parameters),
    "load": lambda told: not (told.mentions or told.parameters),
    "name": lambda told: told.is_bare and not told.mentions,
    "trouble": lambda told: not (told.parameters or told.things),
    "time": lambda told: told.is_bare and not told.mentions,
    "costs": lambda told: not told.parameters,
    "year_of": lambda told: bool(told.mentions),
}
"""What must stand beside a subject for its words to ask for it."""
