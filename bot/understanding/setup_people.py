"""The team and its clients on file, in words: roles, stand-ins, who is on call, door codes (masked), the tap.

Each is a Setting; `values` by `subject`:
    role       name, role                 backup     who, backup
    on_call    who                        code       place (the words that name whose it is)
    tap        place, chloramine          deputy     who
A client is named by the words of its name, as typed: whoever knows the clients finds it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bot.items import Setting
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, line, word, words
from bot.understanding.controls import POLITE, tank_in
from bot.understanding.lexicon import Hit, phrases
from bot.understanding.text import Text

TABLE = "words_setup"
_SURE = 1.7
_LINKS = (
    POLITE
    | {*":=-"}
    | frozenset(phrases("is, are, was, now, for, the, a, an, as, role, to, of, 's, no, longer, make, set, has, on, by"))
)


def claims(text: Text) -> Iterator[Claim]:
    """Every line about who does what, and about a client's door and tap."""
    yield from _roles(text)
    for hit in text.hits(TABLE, "of_team"):
        if hit.meaning == "backup":
            yield from _backup(text, hit)
        elif hit.meaning in ("on_call", "deputy"):
            yield from _one_person(text, hit)
        elif hit.meaning == "code":
            yield from _code(text, hit)
        elif hit.meaning == "tap":
            yield from _tap(text, hit)


def _made(text: Text, subject: str, stretch: range, values: Mapping[str, Any], tank: str | None = None) -> Claim:
    used = frozenset(stretch)
    return Claim((Setting(subject, tank, values),), used, weigh(text.tokens, used, _SURE))


def _people(text: Text, inside: range) -> list[tuple[int, str]]:
    """Members of the team in a stretch, also with an "'s" behind."""
    known = {name.casefold(): name for name in text.situation.people}
    found = ((i, known.get(word(text, i).removesuffix("'s"))) for i in inside)
    return [(i, name) for i, name in found if name]


def _roles(text: Text) -> Iterator[Claim]:
    """ "kofi is technician now", "make kofi technician", "kofi is no longer a learner" (then a technician)."""
    for hit in text.hits(TABLE, "role"):
        inside = clause(text, hit.start)
        people = _people(text, inside)
        rest = [i for i in inside if i not in hit.span and i not in {place for place, _ in people}]
        verbs = {"is", "make", "role", "now", "set"} & set(words(text, inside.start, inside.stop))
        if len(people) == 1 and verbs and all(word(text, i) in _LINKS for i in rest):
            ended = "longer" in words(text, inside.start, hit.start)
            role = "technician" if ended and hit.meaning == "learner" else hit.meaning
            if not ended or hit.meaning == "learner":
                yield _made(text, "role", inside, {"name": people[0][1], "role": role})


def _backup(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "backup for ines is tomasz", "tomasz backs up ines", "ines' backup is tomasz"."""
    inside = clause(text, hit.start)
    people = _people(text, inside)
    rest = [i for i in inside if i not in hit.span and i not in {place for place, _ in people}]
    if len(people) == 2 and all(word(text, i) in _LINKS for i in rest):
        who, backup = sorted(people, key=lambda each: not _is_stood_in_for(text, hit, each[0]))
        yield _made(text, "backup", inside, {"who": who[1], "backup": backup[1]})


def _is_stood_in_for(text: Text, hit: Hit, place: int) -> bool:
    """The one with an "'s", or behind "for", or behind a verb ("tomasz backs up ines")."""
    verb = hit.stop - hit.start > 1 or word(text, hit.start) in ("covers", "stands")
    return word(text, place).endswith("'s") or word(text, place - 1) == "for" or (verb and place >= hit.stop)


def _one_person(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "on call tomasz", "tomasz is on call", "deputy: petra"."""
    inside = clause(text, hit.start)
    people = _people(text, inside)
    rest = [i for i in inside if i not in hit.span and i not in {place for place, _ in people}]
    if len(people) == 1 and all(word(text, i) in _LINKS | {"tonight", "week", "this"} for i in rest):
        yield _made(text, hit.meaning, inside, {"who": people[0][1]})


def _code(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "code for quillow dental is ****", "quillow door code ****": the code itself was masked before."""
    whole = line(text, hit.start)
    stars = [i for i in whole if i >= hit.stop and word(text, i) == "*"]
    if stars and not any(h.meaning == "client" and h.start in whole for h in text.hits(TABLE, "new")):
        inside = range(_opening(text, hit, whole), stars[-1] + 1)
        tank, _ = tank_in(text, inside)
        rest = (word(text, i) for i in inside if i not in hit.span and word(text, i) not in _LINKS | {"*", "at", "new"})
        yield _made(text, "code", inside, {"place": " ".join(w for w in rest if w.isalnum())}, tank)


def _opening(text: Text, hit: Hit, whole: range) -> int:
    """Where the name of the place begins that stands before the word "code"."""
    start = hit.start
    while start > whole.start and text.tokens[start - 1].is_word and not _is_measured(text, start - 1):
        start -= 1
    return start


def _is_measured(text: Text, place: int) -> bool:
    return any(n.start <= place < n.stop for n in text.parameters)


def _tap(text: Text, hit: Hit) -> Iterator[Claim]:
    """ "tap at quillow dental: chloramine yes, chlorine 2", "brindlemoor hotel tap has no chloramine"."""
    inside = line(text, hit.start)
    told = words(text, inside.start, inside.stop)
    if "chloramine" not in told:
        return
    tank, _ = tank_in(text, inside)
    near = set(told[max(told.index("chloramine") - 2, 0) : told.index("chloramine") + 3])
    values: dict[str, Any] = {"chloramine": not near & {"no", "not", "without", "none", "free"}}
    place = " ".join(
        w for w in told[: told.index("chloramine")] if w.isalpha() and w not in _LINKS | {"tap", "at", "with"}
    )
    yield _made(text, "tap", inside, values | {"place": place}, tank)
