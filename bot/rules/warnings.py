"""What is to be warned of now: by words, items, the kind of tank and what is open there. Never by sentences."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Any

from rapidfuzz.distance import OSA

from bot.facts.load import table
from bot.items import Event, Item, Question, Wait
from bot.rules.words import places, said_of
from bot.understanding.lexicon import vocabulary
from bot.understanding.tokens import tokenise

SALT_KINDS = ("marine fish-only", "reef", "syngnathid", "cold marine")
_REACH = 3
"""A "not" counts for the words that begin at most so many words after it."""


@dataclass(frozen=True)
class Scene:
    """The message and what stands around it.

    open      kinds of wait and open ends at the site
    recent    subjects of what was dosed into this tank within the last half hour, this message left out
    medicine  whether the message gives or starts a medication
    treated   whether a treatment was, as far as is known, in this water last
    """

    text: str
    items: tuple[Item, ...] = ()
    tank_kind: str | None = None
    invertebrates: bool = False
    open: frozenset[str] = frozenset()
    recent: tuple[str, ...] = ()
    medicine: bool = False
    treated: bool = False

    @property
    def water(self) -> str | None:
        """Salt or fresh, by the kind of tank; None where that is open."""
        if self.tank_kind in (None, "quarantine", "brackish"):
            return "salt" if self.tank_kind == "brackish" else None
        return "salt" if self.tank_kind in SALT_KINDS else "fresh"


@dataclass(frozen=True)
class Warning:
    """One line of facts/warnings.toml. `form` opens it: STOP, HOLD (with its gate) or Watch."""

    key: str
    rank: int
    form: str
    says: str
    gate: str | None = None

    @property
    def every_time(self) -> bool:
        """Whether it is said again on the same day."""
        return self.form != "Watch"


def found(scene: Scene) -> list[Warning]:
    """Everything that the scene calls for, the most pressing first."""
    respelt = _respelt(scene.text)
    return _found(scene) or ([] if respelt is None else _found(replace(scene, text=respelt)))


def _found(scene: Scene) -> list[Warning]:
    hits = [_warning(row) for row in table("warnings")["warning"] if any(_holds(scene, w) for w in row["when"])]
    return sorted(hits, key=lambda w: w.rank)


def _respelt(text: str) -> str | None:
    """The text with words that nobody knows read as the word of a group that is one slip away; None without such."""
    tokens = tokenise(text)
    words = [_nearest(token.text) if token.is_word else token.text for token in tokens]
    return " ".join(words) if words != [token.text for token in tokens] else None


@lru_cache(maxsize=4096)
def _nearest(word: str) -> str:
    known = _words()
    if len(word) < _LONG or word in known or word in vocabulary():
        return word
    near = [k for k in known if k[0] == word[0] and OSA.distance(word, k, score_cutoff=1) <= 1]
    return near[0] if len(near) == 1 else word


@cache
def _words() -> frozenset[str]:
    """Every longer word of the groups."""
    said = (token.text for words in _groups().values() for token in tokenise(words))
    return frozenset(word for word in said if len(word) >= _LONG)


_LONG = 5


def best(scene: Scene, said_today: Collection[str] = ()) -> Warning | None:
    """The one that is said: the most pressing that was not said today, or that is said every time."""
    return next((w for w in found(scene) if w.every_time or w.key not in said_today), None)


def _warning(row: Mapping[str, Any]) -> Warning:
    return Warning(row["key"], row["rank"], row["form"], row["says"], row.get("gate"))


def _holds(scene: Scene, when: Mapping[str, Any]) -> bool:
    tests = ((_TESTS[name], wanted) for name, wanted in when.items() if name in _TESTS)
    return _words_hold(scene, when) and all(test(scene, wanted) for test, wanted in tests)


def _words_hold(scene: Scene, when: Mapping[str, Any]) -> bool:
    """All groups said, none of the others; a "not" just before one of them takes it away where that is asked for."""
    said, off, wanted = _all_said(scene.text), when.get("none", ()), when.get("all", ())
    if any(said.isdisjoint(each.split("|")) for each in wanted):
        return False
    if any(group in said for group in off if group != "negation"):
        return False
    return "negation" not in off or all(_said_plainly(scene.text, each) for each in wanted)


def _all_said(text: str) -> frozenset[str]:
    return said_of(text, "words_warnings", "groups")


def _said(text: str, group: str) -> bool:
    return group in _all_said(text)


def _said_plainly(text: str, either: str) -> bool:
    """Whether one of the groups is said without a "not" just before it."""
    negations = [stop for _, stop in places(text, _groups()["negation"])]
    hits = [start for group in either.split("|") for start, _ in places(text, _groups()[group])]
    return any(not any(stop <= start < stop + _REACH for stop in negations) for start in hits)


@cache
def _groups() -> Mapping[str, str]:
    groups: Mapping[str, str] = table("words_warnings")["groups"]
    return groups


def _events(scene: Scene, names: Sequence[str]) -> bool:
    return any(isinstance(i, Event) and i.event in names for i in scene.items)


def _waits(scene: Scene, names: Sequence[str]) -> bool:
    return any(isinstance(i, Wait) and i.wait in names for i in scene.items)


def _topics(scene: Scene, names: Sequence[str]) -> bool:
    return any(isinstance(i, Question) and i.topic in names for i in scene.items)


def _doses(scene: Scene, groups: Sequence[str]) -> bool:
    """Whether each of the groups is dosed, now or within the last half hour, and one of them now."""
    now = [i.subject or "" for i in scene.items if isinstance(i, Event) and i.event == "dose"]
    if not any(_said(subject, group) for subject in now for group in groups):
        return False
    return all(any(_said(subject, group) for subject in (*now, *scene.recent)) for group in groups)


_TESTS: dict[str, Callable[[Scene, Any], bool]] = {
    "events": _events,
    "waits": _waits,
    "not_waits": lambda scene, names: not _waits(scene, names),
    "topics": _topics,
    "doses": _doses,
    "water": lambda scene, water: scene.water == water,
    "kinds": lambda scene, kinds: scene.tank_kind in kinds,
    "invertebrates": lambda scene, wanted: scene.invertebrates == wanted,
    "open": lambda scene, keys: bool(scene.open & set(keys)),
    "not_open": lambda scene, keys: not scene.open & set(keys),
    "medicine": lambda scene, wanted: scene.medicine == wanted,
    "treated": lambda scene, wanted: scene.treated == wanted,
}
