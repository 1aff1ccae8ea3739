"""Where a message names a tank or a vat: in full, half typed, by nickname, by a number or code inside the name.

Every run of words that fits some name is a mention; the names that fit it best are its `options`. Two that fit equally
well stay both, and are asked about. A name's word that the trade uses for something else ("copper", "ray") counts for
less when it stands alone, so that a reading or an animal wins.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from bot.items import Situation
from bot.understanding.lexicon import lexicon, trade_vocabulary
from bot.understanding.names_fit import Fit, Name, bare, fit_at, short_forms, without_vowels
from bot.understanding.spoken import number_openings
from bot.understanding.tokens import Token, tokenise
from bot.understanding.unknown_places import unknown_places


@dataclass(frozen=True, slots=True)
class Mention:
    """Tokens `start` up to `stop` name one of `options` (full names). `behind`: after "at", "in", "for" ...;
    `whole`: a whole name or nickname; `plausible` as in claims."""

    start: int
    stop: int
    options: tuple[str, ...]
    vat: bool = False
    behind: bool = False
    whole: bool = False
    plausible: float = 1.0

    @property
    def span(self) -> frozenset[int]:
        return frozenset(range(self.start, self.stop))


def mentions_in(tokens: Sequence[Token], situation: Situation) -> tuple[Mention, ...]:
    """Every mention; the longest at each place, and not those inside a longer one."""
    shorts = tuple(situation.nicknames.items())
    names = _names(tuple(situation.tanks), tuple(situation.vats), shorts)
    openings = _openings(names)
    opened = ((place, openings.get(bare(token.text), ())) for place, token in enumerate(tokens))
    found = [mention for place, fitting in opened if (mention := _mention_at(tokens, place, fitting))]
    found += [
        Mention(*span, situation.tanks, behind=_is_behind(tokens, span)) for span in _nameless(tokens, found, situation)
    ]
    found = [m for m in found if not any(_gives_way_to(m, other) for other in found)]
    return _with_joined(tokens, found)


def _gives_way_to(mention: Mention, other: Mention) -> bool:
    """It lies inside the other, or takes a word from the end of a name told in full ("lot 9 school" 9)."""
    taken = other.whole and not mention.whole and len(other.span) > len(mention.span)
    return mention.span < other.span or bool(taken and mention.span & other.span)


def _with_joined(tokens: Sequence[Token], found: Sequence[Mention]) -> tuple[Mention, ...]:
    """ "lobby at mosswood": two halves of one name, the narrower first."""
    joined: list[Mention] = []
    for mention in sorted(found, key=lambda m: m.start):
        both = _joined(tokens, joined[-1], mention) if joined else None
        joined[-1:] = [both] if both else [*joined[-1:], mention]
    return tuple(joined)


def _joined(tokens: Sequence[Token], one: Mention, other: Mention) -> Mention | None:
    between = [t.text for t in tokens[one.stop : other.start]]
    led = tokens[other.start].text in _HALVES or bool(between)
    common = tuple(o for o in one.options if o in other.options)
    narrower = len(common) == 1 and len(one.options) + len(other.options) > 2
    if not led or not narrower or one.vat or other.vat or not all(word in (*_HALVES, "the") for word in between):
        return None
    return replace(one, stop=other.stop, options=common, plausible=max(one.plausible, other.plausible))


_HALVES = ("at", "in", "of")


def _nameless(tokens: Sequence[Token], found: Sequence[Mention], situation: Situation) -> list[tuple[int, int]]:
    """Places that no name tells; only where there are several tanks to choose from. "the big one" is not Big Blue, and
    "harper library" not the one library that there is; else a name that is known wins."""
    spans = unknown_places(tokens) if len(situation.tanks) > 1 else ()
    return [span for span in spans if all(_gives_way(tokens, mention, span) for mention in found)]


def _gives_way(tokens: Sequence[Token], mention: Mention, span: tuple[int, int]) -> bool:
    if not mention.span & set(range(*span)):
        return True
    endings = lexicon("words_plain", "name_endings").words()
    vague = bool(lexicon("words_plain", "vague_places").at(tokens, span[0]))
    weak = vague or all(tokens[i].text in endings for i in mention.span)
    return weak and mention.span < set(range(*span))


def _is_behind(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    return tokens[span[0]].text in _LOOKING_BACK


def name_words(situation: Situation) -> frozenset[str]:
    """The words of all names, for the spelling."""
    return _long_words((*situation.tanks, *situation.vats, *situation.nicknames, *situation.people))


@lru_cache(maxsize=64)
def _long_words(names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(word for name in names for word in _words(name) if word.isalpha() and len(word) > 3)


@lru_cache(maxsize=64)
def _names(tanks: tuple[str, ...], vats: tuple[str, ...], shorts: tuple[tuple[str, str], ...]) -> tuple[Name, ...]:
    """The names of one team, kept from message to message."""
    full = [Name(name, _words(name)) for name in tanks]
    stood = [Name(name, _words(name), vat=True) for name in vats]
    nick = [Name(name, _words(short), vat=name in vats, nickname=True) for short, name in shorts]
    return tuple(name for name in (*full, *stood, *nick) if name.words)


@lru_cache(maxsize=64)
def _openings(names: tuple[Name, ...]) -> dict[str, list[Name]]:
    """By every word with which a name may begin, the names that may."""
    found: dict[str, list[Name]] = {}
    for name in names:
        for word in _openings_of(name):
            found.setdefault(word, []).append(name)
    return found


def _openings_of(name: Name) -> set[str]:
    """Its words cut short anywhere or without their vowels, short forms, spoken numbers."""
    shorts = (short for short, longer in short_forms().items() if not set(longer).isdisjoint(name.words))
    spoken = number_openings() if any(word.isdigit() for word in name.words) else ()
    cut = (word[:size] for word in name.words for size in range(1, len(word) + 1))
    return {*shorts, *spoken, *map(without_vowels, name.words), *cut}


def _words(name: str) -> tuple[str, ...]:
    return tuple(bare(token.text) for token in tokenise(name) if token.kind in ("word", "number"))


def _mention_at(tokens: Sequence[Token], place: int, names: Iterable[Name]) -> Mention | None:
    if tokens[place].kind not in ("word", "number"):
        return None
    fits = [fit for name in names if (fit := fit_at(tokens, place, name))]
    if not fits:
        return None
    best = max(fit.score for fit in fits)
    top = [fit for fit in fits if fit.score == best]
    return _as_mention(tokens, place, top)


def _as_mention(tokens: Sequence[Token], place: int, top: list[Fit]) -> Mention:
    options = tuple(dict.fromkeys(fit.name.full for fit in top))
    stop = max(fit.stop for fit in top)
    start = place
    while start and tokens[start - 1].text in ("the", "our", "my", "their", "#"):
        start -= 1
    behind = start > 0 and tokens[start - 1].text in _LOOKING_BACK
    whole = any(len(fit.words) == len(fit.name.words) for fit in top)
    plausible = _plausible(tokens, place, stop, top, whole, behind)
    return Mention(start - behind, _past_tank(tokens, stop), options, top[0].name.vat, behind, whole, plausible)


_LOOKING_BACK = frozenset(("at", "in", "on", "for", "@", "to", "from", "into", "over"))


def _past_tank(tokens: Sequence[Token], stop: int) -> int:
    """ "school tank" is one mention with its last word."""
    return stop + 1 if stop < len(tokens) and tokens[stop].text in _TANK_WORDS else stop


_TANK_WORDS = frozenset(("tank", "tanks", "aquarium", "place", "site", "account"))


def _plausible(tokens: Sequence[Token], place: int, stop: int, top: list[Fit], whole: bool, behind: bool) -> float:
    if whole or len(top[0].words) > 1:
        return 1.2
    if (stop < len(tokens) and tokens[stop].text in ("tank", "tanks", "aquarium")) or behind:
        return 1.1
    word = top[0].words[0]
    if not word.isalpha():
        return 0.5
    return 0.6 if word in trade_words() else 1.0


@cache
def trade_words() -> frozenset[str]:
    """Words that the trade uses for something, so that alone they are hardly a name."""
    return trade_vocabulary() - lexicon("words_plain", "everyday").words()
