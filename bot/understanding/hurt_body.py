"""Signs that a person is hurt, by what came to a body: bleach in an eye, glass in a hand, gas in the lungs.

Each rule looks at one piece of a message. An animal's eye and a machine's head are none of a person's.
"""

from __future__ import annotations

from bot.understanding.hurt_pieces import Piece, Sign
from bot.understanding.lexicon import Hit, around

_INSIDE = around("hurt", "inside")
_NEAR = around("hurt", "near")
_ASKING = around("hurt", "asking")
_SMELL = around("hurt", "smell")
_ILL = around("hurt", "ill")
_OPEN_PARTS = around("hurt", "open_parts")
_PLAIN_PARTS = around("hurt", "plain_parts")
_EYE_WEAR = around("hurt", "eye_wear")
_VAGUE = around("hurt", "vague")


def two_chemicals(piece: Piece) -> Sign | None:
    """Bleach mixed with an acid or ammonia: gas, whether or not it is felt yet. A question about it is none."""
    groups = [piece.of("mixing", each) for each in ("bleach", "other", "verb")]
    if not all(groups) or _ASKING & set(piece.words(0, 2)) or piece.of("denial"):
        return None
    hits = [hit for group in groups for hit in group]
    return Sign("gas", min(hit.start for hit in hits), max(hit.stop for hit in hits))


def fumes_felt(piece: Piece) -> Sign | None:
    """Gas or fumes, and a person in them: "fumes got tomasz", "smells like chlorine, i feel sick"."""
    said = set(piece.words())
    fumes = piece.of("agent", "fumes") or (piece.of("agent", "chemical") if _SMELL & said else ())
    somebody = piece.of("person") or not piece.of("thing")
    return Sign("gas", fumes[0].start, fumes[0].stop) if fumes and _ILL & said and somebody else None


def chemical_on_body(piece: Piece) -> Sign | None:
    """ "bleach in eye", "acid on my hands", "formalin splashed her face"."""
    for agent in piece.of("agent", "chemical", "fumes", "zoa"):
        for body in piece.of("body"):
            if _touches(piece, agent, body) and not _animals_own(piece, body, agent):
                return Sign("eye" if body.meaning == "eye" else "skin", min(agent.start, body.start), body.stop)
    return None


def _touches(piece: Piece, agent: Hit, body: Hit) -> bool:
    """The chemical came to the body: by a splash, or by "in", "on" just before the body (but not "on hand")."""
    if any(agent.stop <= hit.start <= body.start or hit.stop <= agent.start for hit in piece.of("splash")):
        return True
    before = set(piece.words(body.start - 4, body.start))
    owned = {"my", "his", "her", "the", "both"} | {piece.word(hit.start) for hit in piece.of("person")}
    plain_hand = piece.word(body.start) == "hand" and not owned & before
    if body.meaning == "eye":
        return (not piece.of("thing") and piece.word(body.stop) not in _EYE_WEAR) or bool(_NEAR & before)
    return bool(_NEAR & before) and not plain_hand and body.start >= agent.stop


def _animals_own(piece: Piece, body: Hit, agent: Hit | None = None) -> bool:
    """ "the tang's eye": an animal stands just before, that did no harm itself, and no person does."""
    mine = any(hit.start < body.start for hit in piece.of("person"))
    near = [t for t in piece.of("thing") if body.start - 2 <= t.stop <= body.start]
    return not mine and any(not (agent and agent.start <= thing.start < agent.stop) for thing in near)


def inside_body(piece: Piece) -> Sign | None:
    """Whatever it is that is "in my eye"; and a spine, a barb or a shard in any part."""
    for body in piece.of("body"):
        inside = [i for i in range(max(0, body.start - 4), body.start) if piece.word(i) in _INSIDE]
        if not inside:
            continue
        if body.meaning == "eye" and any(hit.stop == body.start for hit in piece.of("person")):
            return Sign("eye", max(0, inside[-1] - 2), body.stop)
        sharp = [hit for hit in piece.of("agent", "glass", "venom") if hit.stop <= inside[-1]]
        if sharp and not _animals_own(piece, body):
            return Sign("sting" if sharp[0].meaning == "venom" else "cut", sharp[0].start, body.stop)
    return None


def harm_to_body(piece: Piece) -> Sign | None:
    """ "cut my hand", "burned his arm", "deep cut in the wrist", "hand is cut open", "hurt my back"."""
    for harm in piece.of("harm"):
        for body in piece.of("body"):
            gap = (harm.stop, body.start) if harm.start < body.start else (body.stop, harm.start)
            if len(range(*gap)) <= 4 and _of_a_person(piece, body, gap):
                hazard = _hazard_of(piece, harm, body)
                return Sign(hazard, min(harm.start, body.start), max(harm.stop, body.stop))
    return None


def _of_a_person(piece: Piece, body: Hit, gap: tuple[int, int]) -> bool:
    """Somebody is named before the part; or nobody is, and no animal or machine has such a part."""
    if piece.of("person"):
        return bool(piece.before("person", body.start)) or body.meaning == "sure"
    if body.meaning == "sure":
        return True
    part = piece.word(body.start)
    own = part in _PLAIN_PARTS or part not in _OPEN_PARTS
    return body.meaning == "open" and own and piece.only_fillers(*gap) and not piece.of("thing")


def _hazard_of(piece: Piece, harm: Hit, body: Hit) -> str:
    if body.meaning == "eye":
        return "eye"
    if harm.meaning == "burn" and piece.of("agent", "chemical"):
        return "skin"
    vague = piece.word(harm.start) in _VAGUE and not piece.of("agent", "venom")
    return "crush" if vague and harm.meaning == "sting" else harm.meaning
