"""Somebody is hurt: seen before anything else in a message, by hazards, bodies, persons and what happened to them.

One rule a function below; each looks at one piece of the message (up to a stop, a comma or a line) and gives the hazard
and the tokens that show it. An animal or a machine that is hurt is no person: where one is spoken of, a person must be too.
The hazards are the keys of facts/words_hurt.toml: what first to do for each is known to the sentences.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from bot.items import Control
from bot.understanding.claims import Claim
from bot.understanding.lexicon import Hit, around, lexicon, vocabulary
from bot.understanding.tokens import Token, respelt

_FIRST = 1000.0
"""Heavier than everything else that a message can mean."""

_STOPS = frozenset(".;!?,\n:()")
_FILLERS = around("hurt", "fillers")


@dataclass(frozen=True)
class Sign:
    """What shows that someone is hurt: the hazard, and the tokens from `start` up to `stop`."""

    hazard: str
    start: int
    stop: int


@dataclass(frozen=True)
class Piece:
    """One stretch of a message with what is found in it, by group of the table."""

    tokens: Sequence[Token]
    hits: dict[str, tuple[Hit, ...]]

    def of(self, group: str, *meanings: str) -> tuple[Hit, ...]:
        return tuple(hit for hit in self.hits[group] if not meanings or hit.meaning in meanings)

    def words(self, start: int, stop: int) -> list[str]:
        return [token.text for token in self.tokens[max(0, start) : stop]]

    def only_fillers(self, start: int, stop: int) -> bool:
        return all(word in _FILLERS for word in self.words(start, stop))


def hurt_in(tokens: Sequence[Token], people: Sequence[str] = ()) -> tuple[Sign, ...]:
    """Every sign of a person hurt, in order; none where nobody is."""
    whole = _whole(tokens)
    return (whole,) if whole else _signs(tokens, people) or _signs(_mended(tokens), people)


def _signs(tokens: Sequence[Token], people: Sequence[str]) -> tuple[Sign, ...]:
    signs = []
    for start, stop in _pieces(tokens):
        piece = _piece(tokens[start:stop], people)
        found = next((sign for rule in _RULES if (sign := rule(piece)) and not _denied(piece, sign)), None)
        if found:
            signs.append(Sign(found.hazard, start + _opening(piece, found), stop))
    return tuple(signs)


def _opening(piece: Piece, sign: Sign) -> int:
    """From its beginning, unless numbers stand before: they may be readings, and are left to be read."""
    return sign.start if any(token.is_number for token in piece.tokens[: sign.start]) else 0


def _mended(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """Short words put right as well ("hnad", "sombody"), where the message speaks of harm at all."""
    groups = ("harm", "body", "agent", "symptom", "person")
    if not any(_found(tokens, group) for group in groups):
        return ()
    mended = tuple(_mended_word(token) if _is_unknown(token) else token for token in tokens)
    return mended if mended != tuple(tokens) else ()


def _is_unknown(token: Token) -> bool:
    return token.is_word and 4 <= len(token.text) <= 14 and token.text.isalpha() and token.text not in vocabulary()


def _mended_word(token: Token) -> Token:
    from rapidfuzz.distance import OSA

    slips = 1 if len(token.text) < 8 else 2
    near = [known for known in _danger_words() if OSA.distance(token.text, known, score_cutoff=slips) <= slips]
    return respelt(token, near[0]) if near else token


@cache
def _danger_words() -> tuple[str, ...]:
    """Every word of the table that is long enough to be told from others."""
    words = (word for group in _GROUPS[:-1] for word in lexicon("words_hurt", group).words())
    return tuple(sorted({word for word in words if len(word) > 3}))


def hurt_claims(tokens: Sequence[Token], people: Sequence[str] = ()) -> list[Claim]:
    """One control `person_hurt` for all signs together, with the hazard as its subject; it outweighs everything."""
    signs = hurt_in(tokens, people)
    if not signs:
        return []
    used = frozenset(i for sign in signs for i in range(sign.start, sign.stop))
    who = next((person for person in people if any(_is_name(tokens[i], person) for i in used)), None)
    return [Claim((Control("person_hurt", subject=signs[0].hazard, who=who),), used, _FIRST)]


def _whole(tokens: Sequence[Token]) -> Sign | None:
    """The message is one word of danger and no more: "gas!", "help shock"."""
    words = [
        i for i, token in enumerate(tokens) if token.is_word and token.text not in ("help", "pls", "please", "omg")
    ]
    if not words or any(token.is_number or token.text == "?" for token in tokens):
        return None
    core = tuple(tokens[words[0] : words[-1] + 1])
    hits = [hit for hit in _found(core, "whole") if hit.start == 0 and hit.stop == len(core)]
    return Sign(hits[0].meaning, 0, len(tokens)) if hits else None


def _pieces(tokens: Sequence[Token]) -> Iterator[tuple[int, int]]:
    start = 0
    for place, token in enumerate(tokens):
        if token.text in _STOPS and not token.is_word:
            if place > start:
                yield start, place
            start = place + 1
    if start < len(tokens):
        yield start, len(tokens)


def _piece(tokens: Sequence[Token], people: Sequence[str]) -> Piece:
    hits = {group: _found(tokens, group) for group in _GROUPS}
    named = (Hit(i, i + 1, "other") for i, token in enumerate(tokens) for person in people if _is_name(token, person))
    hits["person"] = tuple(sorted((*hits["person"], *named), key=lambda hit: hit.start))
    animals = (*lexicon("words_animals", "animal").find(tokens), *lexicon("words_machines", "machine").find(tokens))
    hits["thing"] = tuple(sorted(animals, key=lambda hit: hit.start))
    return Piece(tokens, hits)


_GROUPS = ("alone", "symptom", "harm", "person", "body", "agent", "splash", "mixing", "denial")


@cache
def _found(tokens: Sequence[Token], group: str) -> tuple[Hit, ...]:
    return lexicon("words_hurt", group).find(tokens)


def _is_name(token: Token, person: str) -> bool:
    name, word = person.lower(), token.text.removesuffix("'s")
    return (
        word == name or word == name + "s" or (len(word) >= 3 and name.startswith(word) and len(name) <= len(word) + 4)
    )


def _denied(piece: Piece, sign: Sign) -> bool:
    before = range(sign.start - 3, sign.start + 1)
    hits = (hit for hit in piece.of("denial") if hit.start in before and hit.stop <= sign.start)
    return any(piece.only_fillers(hit.stop, sign.start) for hit in hits)


def _by_itself(piece: Piece) -> Sign | None:
    """ "call an ambulance", "got shocked", "he passed out"."""
    for hit in piece.of("alone"):
        if not _of_something_else(piece, hit):
            return Sign(hit.meaning, hit.start, hit.stop)
    return None


def _of_something_else(piece: Piece, hit: Hit) -> bool:
    """It is an animal that "got shocked", a pump that was "unresponsive": no person is spoken of, and a thing comes first."""
    return not piece.of("person") and any(thing.stop <= hit.start for thing in piece.of("thing"))


def _symptom(piece: Piece) -> Sign | None:
    """ "cant breathe", "eyes burning", "thumb swelling up": of a person, or of nobody named."""
    hits = piece.of("symptom")
    mine = piece.of("person") or piece.of("body", "sure") or (hits and _limb_before(piece, hits[0]))
    about_a_thing = piece.of("thing") and not mine
    return None if about_a_thing or not hits else Sign(hits[0].meaning, hits[0].start, hits[-1].stop)


def _limb_before(piece: Piece, symptom: Hit) -> bool:
    """ "hand is swollen": a limb, which no fish has, is what shows it."""
    limbs = [hit for hit in piece.of("body") if piece.tokens[hit.start].text in _LIMBS and hit.stop <= symptom.start]
    return any(piece.only_fillers(limb.stop, symptom.start) for limb in limbs)


_LIMBS = around("hurt", "limbs")


def _chemical_on_body(piece: Piece) -> Sign | None:
    """ "bleach in eye", "acid on my hands", "formalin splashed her face"."""
    for agent in piece.of("agent", "chemical", "fumes", "zoa"):
        for body in piece.of("body"):
            if _touches(piece, agent, body) and not _animals_own(piece, body):
                return Sign("eye" if body.meaning == "eye" else "skin", min(agent.start, body.start), body.stop)
    return None


def _touches(piece: Piece, agent: Hit, body: Hit) -> bool:
    """The chemical came to the body: by a splash, or by "in", "on" just before the body (but not "on hand")."""
    if any(agent.stop <= hit.start <= body.start or hit.stop <= agent.start for hit in piece.of("splash")):
        return True
    before = piece.words(body.start - 4, body.start)
    whose = {"my", "his", "her", "the", "both", *_names(piece)} & set(before)
    near = {"in", "on", "into", "onto", "over", "to"} & set(before)
    plain_hand = piece.tokens[body.start].text == "hand" and not whose
    if body.meaning == "eye" and agent.stop == body.start:
        return True
    return bool(near) and not plain_hand and body.start >= agent.stop


def _names(piece: Piece) -> set[str]:
    return {piece.tokens[hit.start].text for hit in piece.of("person")}


def _animals_own(piece: Piece, body: Hit) -> bool:
    """ "the tang's eye": an animal stands just before, and no person does."""
    mine = any(hit.start < body.start for hit in piece.of("person"))
    return not mine and any(body.start - 2 <= thing.stop <= body.start for thing in piece.of("thing"))


def _in_my_eye(piece: Piece) -> Sign | None:
    """Whatever it is that is "in my eye"; and a spine, a barb or a shard in any part."""
    for body in piece.of("body"):
        whose = [hit for hit in piece.of("person") if hit.stop == body.start]
        inside = [
            i
            for i in range(max(0, body.start - 4), body.start)
            if piece.tokens[i].text in ("in", "into", "thru", "through")
        ]
        if body.meaning == "eye" and whose and inside:
            return Sign("eye", max(0, inside[-1] - 2), body.stop)
        sharp = [hit for hit in piece.of("agent", "glass", "venom") if inside and hit.stop <= inside[-1]]
        if sharp and not _animals_own(piece, body):
            return Sign("sting" if sharp[0].meaning == "venom" else "cut", sharp[0].start, body.stop)
    return None


def _harm_to_body(piece: Piece) -> Sign | None:
    """ "cut my hand", "burned his arm", "deep cut in the wrist", "hand is cut open", "hurt my back"."""
    for harm in piece.of("harm"):
        for body in piece.of("body"):
            gap = (harm.stop, body.start) if harm.start < body.start else (body.stop, harm.start)
            if len(range(*gap)) <= 4 and _of_a_person(piece, body, gap):
                hazard = _hazard_of(piece, harm, body)
                return Sign(hazard, min(harm.start, body.start), max(harm.stop, body.stop))
    return None


def _of_a_person(piece: Piece, body: Hit, gap: tuple[int, int]) -> bool:
    if piece.of("person"):
        owner = [hit for hit in piece.of("person") if hit.stop <= body.start]
        return bool(owner) or body.meaning == "sure"
    if piece.tokens[body.start].text in (
        "hand",
        "back",
        "head",
        "face",
        "foot",
        "feet",
        "body",
        "neck",
        "mouth",
        "teeth",
    ):
        return (
            piece.only_fillers(*gap)
            and not piece.of("thing")
            and piece.tokens[body.start].text in ("hand", "face", "foot")
        )
    return body.meaning == "sure" or (not piece.of("thing") and piece.only_fillers(*gap) and body.meaning == "open")


def _hazard_of(piece: Piece, harm: Hit, body: Hit) -> str:
    if body.meaning == "eye":
        return "eye"
    chemical = piece.of("agent", "chemical")
    return "skin" if chemical and harm.meaning == "burn" else harm.meaning


def _harm_to_person(piece: Piece) -> Sign | None:
    """ "i got stung", "tomasz was bitten", "the eel bit me", "got bit by the puffer", "cut myself"."""
    for harm in piece.of("harm"):
        if harm.meaning in ("fall", "swallowed", "breath"):
            continue
        after = [hit for hit in piece.of("person") if hit.start == harm.stop and not _owns_next(piece, hit)]
        if after and _object_of_harm(piece, harm, after[0]):
            return Sign(harm.meaning, harm.start, after[0].stop)
        if _suffered(piece, harm):
            return Sign(harm.meaning, _start_of_clause(piece, harm), harm.stop)
    return None


def _owns_next(piece: Piece, person: Hit) -> bool:
    """ "my clown", "his tang": the word says whose thing it is."""
    own = piece.tokens[person.start].text in ("my", "his", "her", "our", "their", "your")
    return (
        own
        and person.stop < len(piece.tokens)
        and piece.tokens[person.stop].text not in ("hard", "bad", "badly", "when", "with", "on", "in")
    )


def _object_of_harm(piece: Piece, harm: Hit, person: Hit) -> bool:
    """Not "i" after the verb; and "got me", "hit me" only by what can hurt."""
    if piece.tokens[person.start].text in ("i", "i'm", "im", "ive", "i've", "we", "he", "she", "they"):
        return False
    vague = piece.tokens[harm.start].text in ("got", "hit", "caught", "pulled", "threw", "stuck", "broke", "nailed")
    return not vague or bool(piece.of("agent", "venom", "biter", "glass", "electric")) or person.stop - harm.start > 2


def _suffered(piece: Piece, harm: Hit) -> bool:
    """The verb is suffered: "got bit", "was stung", "stung by"; by a person or by nobody named."""
    text = piece.tokens[harm.start].text
    got = harm.start > 0 and piece.tokens[harm.start - 1].text in (
        "got",
        "was",
        "been",
        "getting",
        "gets",
        "get",
        "is",
        "im",
        "i'm",
        "just",
        "were",
    )
    by = harm.stop < len(piece.tokens) and piece.tokens[harm.stop].text in ("by", "from", "off")
    if text in ("got", "hit", "pulled", "threw", "caught", "stuck", "trapped", "broken", "jammed", "cut") and not (
        got and _names(piece)
    ):
        return False
    persons = [hit for hit in piece.of("person") if hit.stop <= harm.start and not _owns_next(piece, hit)]
    things = [hit for hit in piece.of("thing") if hit.stop <= harm.start]
    near = bool(persons) and len(range(persons[-1].stop, harm.start)) <= 4
    if (
        persons
        and near
        and (got or by or harm.meaning in ("hurt", "shock"))
        and not (things and things[-1].start > persons[-1].start)
    ):
        return True
    return (got or by) and not things and harm.meaning in ("shock", "sting", "bite") and text not in ("sting", "bite")


def _start_of_clause(piece: Piece, harm: Hit) -> int:
    before = [hit.start for hit in piece.of("person") if hit.stop <= harm.start]
    return before[-1] if before else harm.start


def _fall_or_swallow(piece: Piece) -> Sign | None:
    """ "ines fell off the ladder", "slipped on wet floor", "swallowed formalin", "inhaled fumes"."""
    for harm in piece.of("harm", "fall", "swallowed", "breath"):
        persons = [hit for hit in piece.of("person") if hit.stop <= harm.start]
        things = [hit for hit in piece.of("thing") if hit.stop <= harm.start]
        if things and not persons:
            continue
        if _deep_enough(piece, harm, bool(persons)):
            return Sign(harm.meaning, persons[-1].start if persons else harm.start, harm.stop)
    return None


def _deep_enough(piece: Piece, harm: Hit, person: bool) -> bool:
    text = piece.tokens[harm.start].text
    after = [hit for hit in piece.of("agent") if hit.start >= harm.stop]
    bad = any(hit.meaning in ("chemical", "fumes", "zoa", "venom") for hit in after)
    if harm.meaning in ("swallowed", "breath"):
        return bad or (person and text in ("swallowed", "inhaled", "ingested"))
    from_height = any(hit.meaning == "ladder" for hit in after)
    return from_height or (
        person and text in ("fell", "slipped", "fallen", "tumbled") and not _fell_only_behind(piece, harm)
    )


def _fell_only_behind(piece: Piece, harm: Hit) -> bool:
    return bool({"behind", "asleep", "short", "for"} & set(piece.words(harm.stop, harm.stop + 1)))


def _two_chemicals(piece: Piece) -> Sign | None:
    """Bleach mixed with an acid or ammonia: gas, whether or not it is felt yet. A question about it is none."""
    bleach, other, verb = (piece.of("mixing", each) for each in ("bleach", "other", "verb"))
    asked = set(piece.words(0, 2)) & {
        "can",
        "what",
        "does",
        "is",
        "never",
        "dont",
        "don't",
        "should",
        "how",
        "why",
        "do",
        "if",
    }
    if not (bleach and other and verb) or asked or piece.of("denial"):
        return None
    hits = (*bleach, *other, *verb)
    return Sign("gas", min(hit.start for hit in hits), max(hit.stop for hit in hits))


def _fumes_felt(piece: Piece) -> Sign | None:
    """Gas or fumes, and a person in them: "fumes got tomasz", "room full of chlorine gas i feel sick"."""
    fumes, persons = piece.of("agent", "fumes"), piece.of("person")
    smell = {"smell", "smells", "smelling", "stinks"} & set(piece.words(0, len(piece.tokens)))
    fumes = fumes or (piece.of("agent", "chemical") if smell else ())
    ill = {"sick", "ill", "burning", "burn", "feel", "dizzy", "head", "headache"} & set(
        piece.words(0, len(piece.tokens))
    )
    return Sign("gas", fumes[0].start, fumes[0].stop) if fumes and ill and (persons or not piece.of("thing")) else None


_RULES: tuple[Callable[[Piece], Sign | None], ...] = (
    _two_chemicals, _chemical_on_body, _in_my_eye, _by_itself, _harm_to_body, _harm_to_person, _fall_or_swallow, _symptom,
    _fumes_felt,
)  # fmt: skip
