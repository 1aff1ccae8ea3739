"""Everyday questions that are no sum: "how is merriwick", "who is out", "losses this month", "what should alk be".

One table of subjects (facts/words_lookups.toml): a phrase, and beside it nothing but little words, a tank or a vat, a
person, a day or a span, and what is measured. They are questions of the topic `other` whose `inputs` say what is asked:
`about` (a key of the table), `who`, `day`, `period`, `parameter`. A question that fits none has no `about`.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.items import Control, Item, Quantity, Question
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import hits_in, sentence, word
from bot.understanding.lexicon import Hit, lexicon
from bot.understanding.running import people_in
from bot.understanding.text import Text

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


def asks(text: Text, inside: range) -> bool:
    """Whether a sentence opens like a question, a greeting aside, or ends with its mark."""
    start = inside.start
    while start < inside.stop and word(text, start) in _GREETINGS:
        start += 1
    return bool(lexicon(TABLE, "opens").at(text.tokens, start)) or word(text, inside.stop) == "?"


_GREETINGS = ("hi", "hey", "hello", "and", "so", "ok", "please", ",", "good", "morning")


def is_asked(text: Text) -> bool:
    """Whether a message that nothing else could be made of is a question."""
    opened = any(lexicon(TABLE, "sure").at(text.tokens, sentence(text, i).start) for i in range(len(text.tokens)))
    return opened or (bool(text.tokens) and text.tokens[-1].text == "?" and any(t.is_word for t in text.tokens))


def opens_as_question(text: Text, place: int) -> bool:
    """Whether the sentence around a place opens as no order and no report does."""
    return bool(lexicon(TABLE, "sure").at(text.tokens, sentence(text, place).start))


def _lookup(text: Text, hit: Hit, inside: range) -> Iterator[Claim]:
    told = _Beside(text, inside)
    free = [i for i in inside if i not in hit.span | told.places and not _is_little(text, i)]
    if free or not _NEEDS.get(hit.meaning, lambda _: True)(told):
        return
    used = frozenset(i for i in inside if i not in told.named)
    used |= {inside.stop} if word(text, inside.stop) == "?" else frozenset()
    plausible = _SURE + _CLOSER * len(hit.span) - (_VAGUE if hit.meaning in _LAST else 0)
    yield Claim((_item(text, hit.meaning, told),), used, weigh(text.tokens, used, plausible))


def _item(text: Text, about: str, told: _Beside) -> Item:
    """The order to the bot that the question amounts to, where there is one; else the question."""
    if about == "round":
        day = told.days[0].day if told.days else None
        span = told.periods[0].meaning if told.periods else None
        return Control(
            "today", date=day, days=_SPANS.get(span or "", 1), who=told.people[0][0] if told.people else None
        )
    if about in _ORDERS:
        return Control(_ORDERS[about])
    return Question("other", {"about": about, **told.inputs}, text=text.raw)


_ORDERS = {"reports": "report", "week": "week"}
_SPANS = {"week": 7, "month": 7}


_CLOSER = 0.01
_VAGUE = 0.05
_LAST = ("card", "name", "visitor")
"""Subjects whose words are so plain that any other subject with words there goes before them."""


def _is_little(text: Text, place: int) -> bool:
    return not (text.tokens[place].is_word or text.tokens[place].is_number) or (
        word(text, place) in lexicon(TABLE, "little").words()
    )


class _Beside:
    """What stands in the sentence beside the subject: names, people, days, spans, what is measured."""

    def __init__(self, text: Text, inside: range) -> None:
        self.mentions = [m for m in text.mentions if m.start in inside and m.plausible >= 1]
        self.named = frozenset(i for m in self.mentions for i in m.span)
        self.people = [(who, i) for who, i in people_in(text) if i in inside and i not in self.named]
        self.periods = hits_in(text, inside, TABLE, "period")
        spans = frozenset(i for h in self.periods for i in h.span)
        ahead = [w for w in text.ahead if w.start in inside and not w.is_now and not w.span & spans]
        past = {w.start: w for w in text.past}
        self.days = ahead
        self.parameters = [n for n in text.parameters if n.start in inside and not n.letter]
        things = hits_in(text, inside, "words_setup", "thing")
        dated = frozenset(i for w in (*ahead, *(past[w.start] for w in ahead if w.start in past)) for i in w.span)
        measured = frozenset(i for n in self.parameters for i in n.span)
        self.things = [text.typed(h.start, h.stop) for h in things]
        supplies = frozenset(i for h in things for i in h.span)
        self.places = self.named | spans | dated | measured | supplies | {i for _, i in self.people}
        self.past = [past[w.start].day if w.start in past else w.day for w in ahead]

    @property
    def inputs(self) -> dict[str, Quantity | str]:
        """What is said of them, as the question carries it. `day` lies ahead, `past` behind where that is open."""
        found: dict[str, Quantity | str] = {}
        found |= {"who": self.people[0][0]} if self.people else {}
        found |= {"period": self.periods[0].meaning} if self.periods else {}
        found |= {"day": self.days[0].day.isoformat(), "past": self.past[0].isoformat()} if self.days else {}
        found |= {"parameter": self.parameters[0].parameter} if self.parameters else {}
        return found | ({"thing": self.things[0]} if self.things else {})


_NEEDS = {
    "verdict": lambda told: bool(told.parameters),
    "limits": lambda told: bool(told.parameters) or not told.people,
    "person": lambda told: bool(told.people),
    "team": lambda told: not told.people and not told.mentions,
    "doings": lambda told: bool(told.people),
    "visitor": lambda told: bool(told.mentions) and not told.people,
    "round": lambda told: bool(told.days or told.periods) and not told.mentions,
    "next_visit": lambda told: not (told.people or told.parameters or told.periods),
    "compare": lambda told: not told.mentions,
    "card": lambda told: not (told.parameters or told.people or told.days or told.things),
    "jobs": lambda told: not (told.parameters or told.people or told.days or told.things),
    "name": lambda told: not (told.mentions or told.parameters or told.people or told.days or told.things),
    "trouble": lambda told: not (told.parameters or told.things),
    "costs": lambda told: not told.parameters,
}
"""What must stand beside a subject for its words to ask for it."""
