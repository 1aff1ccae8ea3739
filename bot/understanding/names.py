"""Where a message names a tank or a vat: in full, half typed, by nickname, by a number or code inside the name.

Every run of words that fits some name is a mention; the names that fit it best are its `options`. Two that fit equally
well stay both, and are asked about. A name's word that the trade uses for something else ("copper", "ray") counts for
less when it stands alone, so that a reading or an animal wins.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from bot.facts.load import table
from bot.items import Situation
from bot.understanding.lexicon import lexicon, phrases, trade_vocabulary, vocabulary
from bot.understanding.spoken import number_openings, spoken_at
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


@dataclass(frozen=True)
class _Name:
    full: str
    words: tuple[str, ...]
    vat: bool = False
    nickname: bool = False


@dataclass(frozen=True)
class _Fit:
    """How well a run of tokens fits a name: the more and the surer words, the better."""

    name: _Name
    stop: int
    score: float
    words: tuple[str, ...]


def mentions_in(tokens: Sequence[Token], situation: Situation) -> tuple[Mention, ...]:
    """Every mention; the longest at each place, and not those inside a longer one."""
    shorts = tuple(situation.nicknames.items())
    names = _names(tuple(situation.tanks), tuple(situation.vats), shorts)
    openings = _openings(names)
    opened = ((place, openings.get(_bare(token.text), ())) for place, token in enumerate(tokens))
    found = [mention for place, fitting in opened if (mention := _mention_at(tokens, place, fitting))]
    found += [
        Mention(*span, situation.tanks, behind=_is_behind(tokens, span)) for span in _nameless(tokens, found, situation)
    ]
    found = [m for m in found if not any(m.span < other.span for other in found)]
    return _with_joined(tokens, found)


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
def _names(tanks: tuple[str, ...], vats: tuple[str, ...], shorts: tuple[tuple[str, str], ...]) -> tuple[_Name, ...]:
    """The names of one team, kept from message to message."""
    full = [_Name(name, _words(name)) for name in tanks]
    stood = [_Name(name, _words(name), vat=True) for name in vats]
    nick = [_Name(name, _words(short), vat=name in vats, nickname=True) for short, name in shorts]
    return tuple(name for name in (*full, *stood, *nick) if name.words)


@lru_cache(maxsize=64)
def _openings(names: tuple[_Name, ...]) -> dict[str, list[_Name]]:
    """By every word with which a name may begin, the names that may."""
    found: dict[str, list[_Name]] = {}
    for name in names:
        for word in _openings_of(name):
            found.setdefault(word, []).append(name)
    return found


def _openings_of(name: _Name) -> set[str]:
    """Its words cut short anywhere or without their vowels, short forms, spoken numbers."""
    shorts = (short for short, longer in _short_forms().items() if not set(longer).isdisjoint(name.words))
    spoken = number_openings() if any(word.isdigit() for word in name.words) else ()
    cut = (word[:size] for word in name.words for size in range(1, len(word) + 1))
    return {*shorts, *spoken, *map(_without_vowels, name.words), *cut}


def _words(name: str) -> tuple[str, ...]:
    return tuple(_bare(token.text) for token in tokenise(name) if token.kind in ("word", "number"))


def _bare(word: str) -> str:
    return word[:-2] if word.endswith("'s") else word.replace("'", "")


def _mention_at(tokens: Sequence[Token], place: int, names: Iterable[_Name]) -> Mention | None:
    if tokens[place].kind not in ("word", "number"):
        return None
    fits = [fit for name in names if (fit := _fit(tokens, place, name))]
    if not fits:
        return None
    best = max(fit.score for fit in fits)
    top = [fit for fit in fits if fit.score == best]
    return _as_mention(tokens, place, top)


def _as_mention(tokens: Sequence[Token], place: int, top: list[_Fit]) -> Mention:
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


def _plausible(tokens: Sequence[Token], place: int, stop: int, top: list[_Fit], whole: bool, behind: bool) -> float:
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


def _fit(tokens: Sequence[Token], place: int, name: _Name) -> _Fit | None:
    left = list(name.words)
    stop, score, used = place, 0.0, list[str]()
    while stop < len(tokens) and left:
        step = _step(tokens, stop, left, opening=not used)
        if step is None:
            break
        word, worth, stop = step
        left.remove(word)
        used.append(word)
        score += worth
    if not used or not _tells(tokens, place, stop, used, name):
        return None
    return _Fit(name, stop, score + (0.5 if not left else 0.0), tuple(used))


def _step(tokens: Sequence[Token], place: int, left: list[str], opening: bool) -> tuple[str, float, int] | None:
    """The word of the name that stands at `place`, what it is worth, and where it ends."""
    token = tokens[place]
    if not opening and token.text in ("-", ".", "'", "#", "the") and place + 1 < len(tokens):
        place, token = place + 1, tokens[place + 1]
    text = _bare(token.text)
    if text in left:
        return text, 0.9 if token.slip else 1.0, place + 1
    spoken = _spoken_number(tokens, place, left)
    if spoken:
        return spoken
    longer = [word for word in left if _stands_for(text, word, left, tokens, place, opening)]
    return (longer[0], 0.7, place + 1) if longer else None


def _spoken_number(tokens: Sequence[Token], place: int, left: list[str]) -> tuple[str, float, int] | None:
    """ "two ten" for 210."""
    if not tokens[place].is_word or not any(word.isdigit() for word in left):
        return None
    said = spoken_at(tokens, place)
    ways = (said.value, *said.others) if said else ()
    return next(((f"{way:.0f}", 0.9, said.stop) for way in ways if said and f"{way:.0f}" in left), None)


def _stands_for(text: str, word: str, left: list[str], tokens: Sequence[Token], place: int, opening: bool) -> bool:
    """A word cut short ("octo"), an agreed short form ("st"), or the letter of a code ("q3" for Quarantine 3)."""
    if not text.isalpha() or not word.isalpha():
        return False
    if len(text) >= 3 and word.startswith(text) and not (opening and text in _never_short()):
        return True
    if word in _short_forms().get(text, ()) or _is_squeezed(text, word):
        return True
    following = tokens[place + 1 : place + 2]
    code = any((token.glued or (len(token.text) == 1 and token.is_word)) and token.text in left for token in following)
    return code and word.startswith(text) and word != text


def _is_squeezed(text: str, word: str) -> bool:
    """ "cnty" for county, "plz" for plaza: the word without its vowels."""
    return text == _without_vowels(word) and text not in vocabulary()


@lru_cache(maxsize=4096)
def _without_vowels(word: str) -> str:
    squeezed = word[0] + "".join(letter for letter in word[1:] if letter not in "aeiou")
    return squeezed if 3 <= len(squeezed) < len(word) else word


@cache
def _never_short() -> frozenset[str]:
    """Words that are never a name cut short: "off" is no office, "van" no Vanbrugh, "20 gal" no gallery."""
    plain = (lexicon("words_plain", group).words() for group in ("small", "everyday"))
    units = (phrases(row["words"]) for row in table("units").values() if isinstance(row, dict) and "words" in row)
    return frozenset[str]().union(*plain, *units)


@cache
def _short_forms() -> dict[str, list[str]]:
    return {short: phrases(words) for short, words in table("words_plain")["short_forms"].items()}


def _tells(tokens: Sequence[Token], place: int, stop: int, used: list[str], name: _Name) -> bool:
    """Whether the words that fit are enough: not a bare number, letter or little word alone, unless it is the name."""
    if len(used) == len(name.words):
        return True
    telling = [word for word in used if word not in lexicon("words_plain", "small").words()]
    if any(word.isalpha() and len(word) > 1 for word in telling):
        return not all(word in _too_common() for word in telling)
    code = len(telling) > 1 and tokens[place].is_number and all(t.glued for t in tokens[place + 1 : stop])
    if code and _closes(tokens, place, stop):
        return True
    return bool(telling) and (code or len(telling[0]) > 1) and _opens(tokens, place, stop)


def _closes(tokens: Sequence[Token], place: int, stop: int) -> bool:
    """A code ("21F") at the end of the message, behind a word that is measured by nothing."""
    before = tokens[place - 1] if place else None
    measured = (lexicon("words_readings", group).words() for group in ("parameter", "link", "of"))
    return stop == len(tokens) and before is not None and before.is_word and not any(before.text in m for m in measured)


def _too_common() -> frozenset[str]:
    return lexicon("words_plain", "common_in_names").words()


def _opens(tokens: Sequence[Token], place: int, stop: int) -> bool:
    """A number alone is a tank only after "at" or "tank", or at the head of a line."""
    before = tokens[place - 1].text if place else ""
    heads = place == 0 or tokens[place - 1].kind == "line"
    colon = stop < len(tokens) and tokens[stop].text == ":"
    return before in ("at", "@", "#", "tank", "in", "for") or (heads and (colon or stop == len(tokens)))
