"""Somebody is hurt: seen before anything else in a message, by hazards, bodies, persons and what happened to them.

The rules are in hurt_body.py and hurt_person.py; each looks at one piece of the message (up to a stop, a comma or a
line) and gives the hazard and the tokens that show it. An animal or a machine that is hurt is no person: where one is
spoken of, a person must be too. The hazards are the keys of facts/hazards.toml. Better one alarm too many than one too
few.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from bot.items import Control
from bot.understanding.claims import Claim
from bot.understanding.hurt_body import chemical_on_body, fumes_felt, harm_to_body, inside_body, two_chemicals
from bot.understanding.hurt_person import by_itself, fall_or_swallow, harm_to_person, symptom
from bot.understanding.hurt_pieces import GROUPS, TABLE, Piece, Sign, is_name, piece_of, stretches
from bot.understanding.lexicon import lexicon, vocabulary
from bot.understanding.text import Text
from bot.understanding.tokens import Token, respelt

_FIRST = 1000.0
"""Heavier than everything else that a message can mean."""

_RULES: tuple[Callable[[Piece], Sign | None], ...] = (
    two_chemicals,
    chemical_on_body,
    inside_body,
    by_itself,
    harm_to_body,
    harm_to_person,
    fall_or_swallow,
    symptom,
    fumes_felt,
)


def claims(text: Text) -> list[Claim]:
    """One control `person_hurt` for all signs together, its `subject` the hazard; it outweighs everything."""
    people = text.situation.people
    signs = hurt_in(text.tokens, people)
    if not signs:
        return []
    used = frozenset(i for sign in signs for i in range(sign.start, sign.stop))
    who = next((person for person in people if any(is_name(text.tokens[i], person) for i in used)), None)
    return [Claim((Control("person_hurt", subject=signs[0].hazard, who=who),), used, _FIRST)]


def hurt_in(tokens: Sequence[Token], people: Sequence[str] = ()) -> tuple[Sign, ...]:
    """Every sign of a person hurt, in order; none where nobody is."""
    whole = _whole(tokens)
    return (whole,) if whole else _signs(tokens, people) or _signs(_mended(tokens), people)


def _whole(tokens: Sequence[Token]) -> Sign | None:
    """The message is one word of danger and no more: "gas!", "help shock"."""
    plain = ("help", "pls", "please", "omg")
    words = [i for i, token in enumerate(tokens) if token.is_word and token.text not in plain]
    if not words or any(token.is_number or token.text == "?" for token in tokens):
        return None
    core = tuple(tokens[words[0] : words[-1] + 1])
    hits = [hit for hit in lexicon(TABLE, "whole").find(core) if hit.start == 0 and hit.stop == len(core)]
    return Sign(hits[0].meaning, 0, len(tokens)) if hits else None


def _signs(tokens: Sequence[Token], people: Sequence[str]) -> tuple[Sign, ...]:
    signs = []
    for start, stop in stretches(tokens):
        if not any(token.text in _danger_openings() for token in tokens[start:stop]):
            continue
        piece = piece_of(tokens[start:stop], people)
        found = next((sign for rule in _RULES if (sign := rule(piece)) and not _denied(piece, sign)), None)
        if found:
            signs.append(Sign(found.hazard, start + _opening(piece, found), stop))
    return tuple(signs)


@cache
def _danger_openings() -> frozenset[str]:
    """The words with which a sign of harm can begin; most pieces of a message hold none."""
    groups = ("alone", "symptom", "harm", "body", "agent", "mixing")
    return frozenset().union(*(lexicon(TABLE, group).openers() for group in groups))


def _denied(piece: Piece, sign: Sign) -> bool:
    """ "nobody got hurt", "almost cut my hand", "who got hurt"."""
    near = range(sign.start - 3, sign.start + 1)
    hits = (hit for hit in piece.before("denial", sign.start) if hit.start in near)
    return any(piece.only_fillers(hit.stop, sign.start) for hit in hits)


def _opening(piece: Piece, sign: Sign) -> int:
    """From its beginning, unless numbers stand before: they may be readings, and are left to be read."""
    if not any(token.is_number for token in piece.tokens[: sign.start]):
        return 0
    people = [hit.start for hit in piece.before("person", sign.start) if piece.only_fillers(hit.stop, sign.start)]
    return people[-1] if people else sign.start


_SHORT = 6
"""A message of so few words is looked at for slips of danger in any case."""


def _mended(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """Short words put right as well ("hnad", "sombody"), where the message speaks of harm; () if none was wrong."""
    groups = ("harm", "body", "agent", "symptom", "person")
    if len(tokens) > _SHORT and not any(lexicon(TABLE, group).find(tokens) for group in groups):
        return ()
    mended = tuple(_mended_word(token) if _is_unknown(token) else token for token in tokens)
    return mended if mended != tuple(tokens) else ()


def _is_unknown(token: Token) -> bool:
    return token.is_word and 4 <= len(token.text) <= 14 and token.text.isalpha() and token.text not in vocabulary()


def _mended_word(token: Token) -> Token:
    from rapidfuzz.distance import OSA

    slips = 1 if len(token.text) < 9 else 2
    alike = [known for known in _danger_words() if known[0] == token.text[0]]
    near = [known for known in alike if OSA.distance(token.text, known, score_cutoff=slips) <= slips]
    return respelt(token, near[0]) if near else token


@cache
def _danger_words() -> tuple[str, ...]:
    """Every word of the table that is long enough to be told from others."""
    words = (word for group in GROUPS[:-1] for word in lexicon(TABLE, group).words())
    return tuple(sorted({word for word in words if len(word) > 3}))
