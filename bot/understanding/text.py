"""One message on its way to being understood: its tokens, and what is found in them, each looked for once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from bot.items import Situation
from bot.understanding.dates import Calendar
from bot.understanding.durations import Duration, durations_in
from bot.understanding.lexicon import Hit, Lexicon, lexicon, lexicon_with_plurals
from bot.understanding.names import Mention, mentions_in, name_words
from bot.understanding.numbers import numbers_in
from bot.understanding.numerals import Number
from bot.understanding.parameters import Name, names_in
from bot.understanding.spelling import mended
from bot.understanding.times import Instant, instants_in
from bot.understanding.tokens import Token, tokenise
from bot.understanding.units import Measure, measures_in, without_unit

_CLEAR = 1.2
"""Plausibility of a mention of more than one word of a name."""


@dataclass(frozen=True)
class Text:
    """A message as typed (`raw`) and the situation it was said in. Everything found counts in tokens."""

    raw: str
    situation: Situation

    @cached_property
    def tokens(self) -> tuple[Token, ...]:
        return mended(tokenise(self.raw), name_words(self.situation))

    @cached_property
    def numbers(self) -> tuple[Number, ...]:
        """Numbers with their hedges, ranges and on-the-spot corrections."""
        named = frozenset(place for name in self.parameters for place in name.span)
        return numbers_in(self.tokens, decimal_comma=self.metric, names=named)

    @cached_property
    def measures(self) -> tuple[Measure, ...]:
        """The same numbers with the unit words behind them."""
        found = measures_in(self.tokens, self.numbers)
        return tuple(without_unit(m) if m.units and m.number.stop in self.told_by_name else m for m in found)

    @cached_property
    def durations(self) -> tuple[Duration, ...]:
        return durations_in(self.tokens, self.measures, self.situation.now)

    @cached_property
    def past(self) -> tuple[Instant, ...]:
        """Instants, taken to lie behind where the words leave it open: for readings and events."""
        return instants_in(self.tokens, self.durations, Calendar(self.situation.now, self.metric))

    @cached_property
    def ahead(self) -> tuple[Instant, ...]:
        """Instants, taken to lie ahead: for tasks and plans."""
        return instants_in(self.tokens, self.durations, Calendar(self.situation.now, self.metric, ahead=True))

    @cached_property
    def mentions(self) -> tuple[Mention, ...]:
        """Where tanks and vats are named, or might be."""
        return mentions_in(self.tokens, self.situation)

    @cached_property
    def parameters(self) -> tuple[Name, ...]:
        """Where something that is measured is named."""
        return names_in(self.tokens)

    @cached_property
    def passable(self) -> dict[int, int]:
        """Where tanks and times begin, and where they end: they may stand between a name and its number. Not "at 8",
        which may be the number itself."""
        told = (each for each in self.past if not each.bare or self._leads_on(each.stop))
        return {m.start: m.stop for m in self.mentions} | {i.start: i.stop for i in told}

    def _leads_on(self, place: int) -> bool:
        """A verb and a number stand there: "the ph at nine was 8.2"."""
        verbs = ("is", "was", "reads", "read", ":", "=")
        return self.measure_at(place + 1) is not None and self.tokens[place].text in verbs

    @property
    def metric(self) -> bool:
        return self.situation.units == "metric"

    def hits(self, table: str, group: str) -> tuple[Hit, ...]:
        """The phrases of facts/TABLE.toml, group GROUP, that occur outside of names."""
        return self._hits(table, group, lexicon)

    def hits_with_plurals(self, table: str, group: str) -> tuple[Hit, ...]:
        """The same, each phrase standing for its plurals too."""
        return self._hits(table, group, lexicon_with_plurals)

    def _hits(self, table: str, group: str, words: Callable[[str, str], Lexicon]) -> tuple[Hit, ...]:
        key = (table, group, words is lexicon)
        if key not in self._found:
            hits = words(table, group).find(self.tokens)
            self._found[key] = tuple(hit for hit in hits if not hit.span <= self.told_by_name)
        return self._found[key]

    @cached_property
    def told_by_name(self) -> frozenset[int]:
        """Tokens that stand in a clear name of a tank ("in qt a", "Copper Hill clinic"): they are no words of ours."""
        clear = (m for m in self.mentions if m.plausible >= _CLEAR and m.stop - m.start > 1)
        return frozenset(place for mention in clear for place in mention.span)

    @cached_property
    def _found(self) -> dict[tuple[str, str, bool], tuple[Hit, ...]]:
        return {}

    def typed(self, start: int, stop: int) -> str:
        """The words of the tokens `start` up to `stop` as typed."""
        if start >= stop:
            return ""
        return self.raw[self.tokens[start].start : self.tokens[stop - 1].end]

    def thing(self, start: int, stop: int) -> str:
        """The same of a thing that is spoken of: "heater's" off is the heater."""
        return self.typed(start, stop).removesuffix("'s").removesuffix("’s")

    def measure_at(self, place: int) -> Measure | None:
        """The measure that begins at this token."""
        return self._measures_by_start.get(place)

    def measure_ending(self, stop: int) -> Measure | None:
        """The measure whose last token is just before this one."""
        return self._measures_by_stop.get(stop)

    @cached_property
    def _measures_by_start(self) -> dict[int, Measure]:
        return {measure.start: measure for measure in self.measures}

    @cached_property
    def _measures_by_stop(self) -> dict[int, Measure]:
        return {measure.stop: measure for measure in self.measures}
