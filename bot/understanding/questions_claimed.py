"""Which words of a message a question takes for itself, and which it leaves to be stored as well."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bot.items import Question
from bot.understanding.claims import Claim, weigh
from bot.understanding.lexicon import lexicon
from bot.understanding.questions_amount import Amount
from bot.understanding.questions_evidence import Parts, is_strong
from bot.understanding.questions_parts import Clause
from bot.understanding.questions_topic import OTHER, Found, is_told
from bot.understanding.text import Text

_WHOLE = 1.3
_LACKING = 0.7
_JUDGED = 0.5
_ONE_WORD = 0.8


def may_ask(text: Text) -> bool:
    """Whether anything in the message can be a question at all: its words, a short form, or a verb and a judgement."""
    groups = ("asking", "short", "judging")
    return any(text.hits("words_questions", group) for group in groups)


def claim_of(
    text: Text, question: Question, part: Text, parts: Parts, found: Found | None, clauses: Sequence[Clause]
) -> Claim | None:
    """The claim of a question on the message; None where nothing shows that something is asked."""
    if found is None:
        return _judgement(text, question, clauses)
    plausible = _plausible(found, part, clauses)
    if not plausible:
        return _judgement(text, Question(OTHER, {}, text=text.raw), clauses)
    amounts = {name: _moved(amount, part, text) for name, amount in found.filling.slots.items()}
    inside = {i for clause in clauses for i in clause.span}
    told = frozenset(i for span in amounts.values() for i in span if i not in inside)
    used = frozenset(_words_of(text, clauses, amounts, part, parts, found))
    return Claim((question,), used, weigh(text.tokens, used, plausible), told) if used else None


def _plausible(found: Found, part: Text, clauses: Sequence[Clause]) -> float:
    asks, short = any(clause.asks for clause in clauses), _is_short_form(found.topic, part)
    if len(found.filling.slots) == 1 and not (is_told(found) or short or (asks and _is_nearly_told(found))):
        return 0.0
    if found.filling.whole and (asks or short):
        return _WHOLE
    amount_asked = bool(part.hits("words_questions", "asking_amount"))
    amount_asked = amount_asked or (is_told(found) and (bool(found.filling.slots) or found.topic != "convert"))
    return _LACKING if asks and amount_asked and is_strong(found.topic, part) else 0.0


def _is_nearly_told(found: Found) -> bool:
    """ "how many gallons of fresh water to bring it down to 1.022": one number, and more than one word for the sum."""
    return found.filling.whole and found.words > _ONE_WORD


def _is_short_form(topic: str, part: Text) -> bool:
    """ "salt for 40 l 1.025", "1.024 in ppt": nothing but numbers, units and small words stands before it."""
    hits = [hit for hit in lexicon("words_questions", "short").find(part.tokens) if hit.meaning == topic]
    led = (bool(hits) and hits[0].stop < len(part.tokens)) or topic == "convert"
    return bool(hits) and led and all(_is_plain(part, i) for i in range(hits[0].start))


def _is_plain(part: Text, place: int) -> bool:
    token = part.tokens[place]
    named = any(place in mention.span for mention in part.mentions)
    measured = any(place in measure.span for measure in part.measures)
    small = lexicon("words_plain", "small").words()
    return not token.is_word or named or measured or token.text in small


def _moved(amount: Amount, part: Text, text: Text) -> frozenset[int]:
    """The tokens of an amount of the part, in the places of the whole message."""
    starts = {part.tokens[i].start for i in range(amount.start, amount.stop)}
    return frozenset(i for i, token in enumerate(text.tokens) if token.start in starts)


def _words_of(
    text: Text,
    clauses: Sequence[Clause],
    amounts: Mapping[str, frozenset[int]],
    part: Text,
    parts: Parts,
    found: Found,
) -> Iterable[int]:
    """All from the first to the last word of the asking clauses that belongs to the question."""
    placed = {i for span in amounts.values() for i in span}
    foreign = {i for amount in parts.amounts for i in _moved(amount, part, text)} - placed
    mentions = {i for mention in text.mentions if mention.plausible >= 1 for i in mention.span}
    own = placed | _asking_words(text, found) | _units_alone(parts, part, text)
    for clause in clauses:
        inside = [i for i in clause.span if i in own]
        if inside:
            first = _back(text, min(inside), clause.start, foreign | mentions)
            yield from (i for i in range(first, max(inside) + 1) if i not in foreign | mentions)
            yield from _marks_after(text, max(inside) + 1, clause.stop)


def _units_alone(parts: Parts, part: Text, text: Text) -> set[int]:
    """The unit that the answer is asked in, in the places of the whole message."""
    starts = {part.tokens[place].start for place, _ in parts.loose}
    return {i for i, token in enumerate(text.tokens) if token.start in starts}


def _asking_words(text: Text, found: Found) -> set[int]:
    groups = ("asking", "asking_amount", "parameter", "water", "reference")
    hits = [hit for group in groups for hit in text.hits("words_questions", group)]
    hits += [h for h in text.hits("words_questions", "strong") if h.meaning == found.topic]
    hits += [h for h in text.hits("words_questions", "fair") if h.meaning == found.topic]
    return {i for hit in hits for i in hit.span}


def _back(text: Text, first: int, least: int, foreign: set[int]) -> int:
    """Small words and cues before the first word of the question belong to it, up to a comma or another number."""
    cues = {i for hit in text.hits("words_questions", "cues") for i in hit.span}
    small = lexicon("words_plain", "small").words()
    while first > least and first - 1 not in foreign and (first - 1 in cues or text.tokens[first - 1].text in small):
        first -= 1
    return first


def _marks_after(text: Text, place: int, stop: int) -> Iterable[int]:
    """The marks and small words behind the question, such as "?" and "please"."""
    small = lexicon("words_plain", "small").words()
    while place < stop and (text.tokens[place].kind == "mark" or text.tokens[place].text in small):
        yield place
        place += 1


def _asks_to_judge(text: Text, clause: Clause) -> bool:
    """ "is 0.5 ammonia dangerous" asks by its verb alone."""
    return clause.asks or text.tokens[clause.start].text in ("is", "are", "was", "were", "will", "would", "does", "do")


def _judgement(text: Text, question: Question, clauses: Sequence[Clause]) -> Claim | None:
    """ "is that ok?", "why is the water green": a question without a sum; values in it are left to be stored."""
    judged = {i for hit in text.hits("words_questions", "judging") for i in hit.span}
    marks = {i for i, token in enumerate(text.tokens) if token.text == "?"}
    for clause in clauses:
        if _asks_to_judge(text, clause) and clause.span & (judged | marks):
            values = {i for measure in text.measures for i in measure.span}
            named = {i for name in text.parameters for i in name.span}
            mentions = {i for mention in text.mentions for i in mention.span}
            used = clause.span - values - named - mentions
            return Claim((question,), used, weigh(text.tokens, used, _JUDGED)) if used else None
    return None
