"""Signs that a person is hurt, by what befell them: shocked, stung, fallen, choking; or said outright.

Each rule looks at one piece of a message. What befalls an animal or a machine is told apart by who is spoken of.
"""

from __future__ import annotations

from bot.understanding.hurt_pieces import Piece, Sign
from bot.understanding.lexicon import Hit, around

_LIMBS = around("hurt", "limbs")
_OWNERS = around("hurt", "owners")
_NO_THING = around("hurt", "no_thing")
_DOERS = around("hurt", "doers")
_VAGUE = around("hurt", "vague")
_SUFFERING = around("hurt", "suffering")
_ACTIVE = around("hurt", "active")


def by_itself(piece: Piece) -> Sign | None:
    """ "call an ambulance", "got shocked", "he passed out"."""
    for hit in piece.of("alone"):
        if piece.of("person") or not piece.before("thing", hit.start):
            return Sign(hit.meaning, hit.start, hit.stop)
    return None


def symptom(piece: Piece) -> Sign | None:
    """ "cant breathe", "eyes burning", "thumb swelling up": of a person, or of nobody named."""
    hits = piece.of("symptom")
    if not hits:
        return None
    mine = piece.of("person") or piece.of("body", "sure") or _limb_before(piece, hits[0])
    return Sign(hits[0].meaning, hits[0].start, hits[-1].stop) if mine or not piece.of("thing") else None


def _limb_before(piece: Piece, shown: Hit) -> bool:
    """ "hand is swollen": a limb, which no fish has, is what shows it."""
    limbs = [hit for hit in piece.before("body", shown.start) if piece.word(hit.start) in _LIMBS]
    return any(piece.only_fillers(limb.stop, shown.start) for limb in limbs)


def harm_to_person(piece: Piece) -> Sign | None:
    """ "i got stung", "tomasz was bitten", "the eel bit me", "got bit by the puffer", "cut myself"."""
    for harm in piece.of("harm"):
        if harm.meaning in ("fall", "swallowed", "breath"):
            continue
        after = next((hit for hit in piece.of("person") if hit.start == harm.stop), None)
        if after and not _owns_next(piece, after) and _is_object(piece, harm, after) and not _wondered(piece, after):
            return Sign(harm.meaning, harm.start, after.stop)
        if _suffered(piece, harm):
            people = piece.before("person", harm.start)
            return Sign(harm.meaning, people[-1].start if people else harm.start, harm.stop)
    return None


def _wondered(piece: Piece, person: Hit) -> bool:
    """ "would nitrite 0.5 hurt them": asked, and of the animals."""
    return bool(_WONDERING & set(piece.words(0, 1))) and piece.word(person.start) == "them"


_WONDERING = around("hurt", "wondering")


def _owns_next(piece: Piece, person: Hit) -> bool:
    """ "my clown", "his tang": the word says whose thing it is."""
    following = piece.word(person.stop)
    return piece.word(person.start) in _OWNERS and following != "" and following not in _NO_THING


def _is_object(piece: Piece, harm: Hit, person: Hit) -> bool:
    """Not "i" after the verb; and "got me", "hit me" only by what can hurt."""
    if piece.word(person.start) in _DOERS:
        return False
    dangerous = piece.of("agent", "venom", "biter", "glass", "electric")
    return piece.word(harm.start) not in _VAGUE or bool(dangerous) or person.stop - harm.start > 2


def _suffered(piece: Piece, harm: Hit) -> bool:
    """The verb is suffered: "got bit", "was stung", "stung by"; by a person, or by nobody if no thing stands before."""
    passive = piece.word(harm.start - 1) in _SUFFERING
    passive_by = passive or piece.word(harm.stop) in ("by", "from", "off")
    people = [hit for hit in piece.before("person", harm.start) if not _owns_next(piece, hit)]
    if piece.word(harm.start) in _ACTIVE and not (passive and piece.of("person")):
        return False
    things = piece.before("thing", harm.start)
    thing_last = bool(things) and bool(people) and things[-1].start > people[-1].start
    if people and harm.start - people[-1].stop <= 4 and not thing_last:
        return passive_by or harm.meaning in ("hurt", "shock")
    bare = piece.word(harm.start) not in ("sting", "bite")
    return passive_by and not things and bare and harm.meaning in ("shock", "sting", "bite")


def fall_or_swallow(piece: Piece) -> Sign | None:
    """ "ines fell off the ladder", "slipped on wet floor", "swallowed formalin", "inhaled fumes"."""
    for harm in piece.of("harm", "fall", "swallowed", "breath"):
        people = piece.before("person", harm.start)
        other = piece.before("thing", harm.start) and not people
        if not other and _deep_enough(piece, harm, bool(people)):
            return Sign(harm.meaning, people[-1].start if people else harm.start, harm.stop)
    return None


def _deep_enough(piece: Piece, harm: Hit, person: bool) -> bool:
    """From a height, of something bad, or of somebody ("i fell", but not "i fell behind")."""
    said, agents = piece.word(harm.start), {hit.meaning for hit in piece.of("agent") if hit.start >= harm.stop}
    if harm.meaning in ("swallowed", "breath"):
        dirty = bool(_DIRTY & set(piece.words(harm.stop, harm.stop + 5)))
        bad = bool(agents & {"chemical", "fumes", "zoa", "venom"})
        unsaid = harm.start == 0 and said in _TAKEN_IN  # whoever writes leaves "I" out
        return bad or (person and dirty) or ((person or unsaid) and said in _TAKEN_IN)
    only_behind = piece.word(harm.stop) in ("behind", "asleep", "short", "for")
    return "ladder" in agents or (person and said in _FELL and not only_behind)


_DIRTY = around("hurt", "dirty")
_TAKEN_IN = around("hurt_person", "taken_in")
_FELL = around("hurt_person", "fell")
