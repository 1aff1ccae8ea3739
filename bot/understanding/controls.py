"""Orders to the bot: undo, stop 2, +5, done, status, here, leaving, plan, hand over, override ...

The actions are those of contract section 1 and some more, each a key of facts/words_controls.toml:
`this_is` (`who` has this phone now), `export`, `billing` (`subject`: the month as typed), `code` (the door code),
`order_list`, `load_list`, `practice`. `leaving` with `subject` "day" ends the day.
Answers are in answers.py, questions about the past in history.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from bot.facts.load import table
from bot.items import Clarify, Control, Item
from bot.understanding.claims import Claim, Tank, weigh
from bot.understanding.clauses import clause, line, past_small, phrase, places, sentence, word, words
from bot.understanding.lexicon import Hit, around, lexicon, phrases
from bot.understanding.text import Text

POLITE = around("controls", "polite")
_OF_DAY = around("controls", "of_day")


def claims(text: Text) -> Iterator[Claim]:
    """Every order that a clause or the message amounts to."""
    for hit in text.hits("words_controls", "whole"):
        if hit.meaning in _OF_ALL and any(m.start in sentence(text, hit.start) for m in text.mentions):
            continue
        if hit.meaning == "export" and lexicon("words_lookups", "sure").at(
            text.tokens, sentence(text, hit.start).start
        ):
            continue  # "is the backup ok"
        if any(fills(text, hit, stretch(text, hit.start)) for stretch in (phrase, clause, _before_going)):
            yield _order(text, hit, 1.3)
    for hit in text.hits("words_controls", "message"):
        if fills(text, hit, range(len(text.tokens))) or _answers_ping(text, hit):
            yield _order(text, hit, 1.2)
    yield from _at_the_edge(text)
    yield from _going(text)
    yield from _how_to(text)
    yield from _word_of_the_trade(text)
    yield from _asked_at_large(text)
    yield from _numbered(text)
    yield from _arriving(text)
    yield from _override(text)
    yield from _minutes_at_hand(text)
    yield from _billing(text)


_OF_ALL = ("week", "month", "year")
"""Cards of the whole team: where a tank is named, something else is meant."""


def _before_going(text: Text, place: int) -> range:
    """The clause up to where one goes next: "done at cedar heading to pine"."""
    inside = clause(text, place)
    going = (hit.start for hit in text.hits("words_controls", "going") if hit.start in inside and hit.start > place)
    return range(inside.start, min(going, default=inside.stop))


def _answers_ping(text: Text, hit: Hit) -> bool:
    """ "out, swimming fine": the first clause answers the ping, where one was put."""
    first = clause(text, hit.start)
    return hit.meaning == "done" and "ping" in text.situation.asked and first.start == 0 and fills(text, hit, first)


def fills(text: Text, hit: Hit, stretch: range) -> bool:
    """Beside the phrase only polite words, marks and names of tanks stand in the stretch."""
    named = {i for m in text.mentions if m.plausible >= 1 for i in m.span}
    again = {i for h in text.hits("words_controls", "whole") if h.meaning == hit.meaning for i in h.span}
    rest = (i for i in stretch if i not in hit.span | again and i not in named)
    return all(not (text.tokens[i].is_number or (text.tokens[i].is_word and word(text, i) not in POLITE)) for i in rest)


def with_polite(text: Text, hit: Hit, stretch: range) -> frozenset[int]:
    """The phrase with the polite words and marks that fill the stretch around it; names of tanks left out."""
    named = {i for m in text.mentions if m.plausible >= 1 for i in m.span}
    return hit.span | frozenset(i for i in stretch if i not in named and not text.tokens[i].is_number)


def tank_in(text: Text, stretch: range, but: frozenset[int] = frozenset()) -> tuple[str | None, frozenset[int]]:
    """The tank that is named in a stretch, not by the words `but`, with its tokens; none where two are meant."""
    found = [m for m in text.mentions if m.start in stretch and not m.vat and not m.span & but]
    sure = [m for m in found if len(m.options) == 1]
    if len(found) == 1 and sure:
        return sure[0].options[0], sure[0].span
    return None, frozenset()


def _order(text: Text, hit: Hit, plausible: float) -> Claim:
    around_it = (stretch(text, hit.start) for stretch in (phrase, clause, _before_going))
    used = with_polite(text, hit, next(s for s in around_it if fills(text, hit, s)))
    control = Control(hit.meaning)
    if hit.meaning == "done":
        control = replace(control, wait=_wait_named(text, hit))
    if hit.meaning == "leaving" and " ".join(words(text, hit.start, hit.stop)) in _OF_DAY:
        control = replace(control, subject="day")
    if hit.meaning == "history" and word(text, hit.start) in ("last", "recent", "latest"):
        control = replace(control, subject="last")
    if hit.meaning == "history" and word(text, hit.start) in _DRAWN:
        control = replace(control, subject="trend")
    return Claim((control,), used, weigh(text.tokens, used, plausible))


_DRAWN = frozenset(("trend", "trends", "graph", "plot", "plots", "chart"))


def _wait_named(text: Text, hit: Hit) -> str | None:
    """The wait that the phrase itself names: "out of bleach", "off the drip"."""
    names = text.hits("words_controls", "wait_name")
    return next((name.meaning for name in names if name.start in hit.span), None)


def _at_the_edge(text: Text) -> Iterator[Claim]:
    """ "ph 8 fed leaving", "undo temp was 78": some orders may open or end what else is said."""
    for hit in text.hits("words_controls", "ending"):
        inside = clause(text, hit.start)
        rest = [i for i in range(hit.stop, inside.stop) if word(text, i) not in POLITE | {"from", "to", "next"}]
        if not rest and word(text, hit.start - 1) not in _OTHERS_DOING:
            used = frozenset(range(hit.start, inside.stop))
            yield Claim((Control(hit.meaning),), used, weigh(text.tokens, used, 0.9))
    for hit in text.hits("words_controls", "opening"):
        if past_small(text, clause(text, hit.start).start, hit.start + 1, POLITE) == hit.start:
            yield Claim((Control(hit.meaning),), hit.span, weigh(text.tokens, hit.span, 0.9))


_OTHERS_DOING = around("controls", "others_doing")


def _going(text: Text) -> Iterator[Claim]:
    """ "fed, off to cedar": where one goes next is not where it was done."""
    for hit in text.hits("words_controls", "going"):
        inside = range(hit.start, clause(text, hit.start).stop)
        tank, named = tank_in(text, inside)
        rest = (i for i in inside if i >= hit.stop and i not in named and word(text, i) not in POLITE | {"next"})
        if tank and not any(text.tokens[i].is_word or text.tokens[i].is_number for i in rest):
            used = frozenset(inside)
            yield Claim((Control(hit.meaning, tank=tank),), used, weigh(text.tokens, used, 1.35))


def _how_to(text: Text) -> Iterator[Claim]:
    """ "how do i undo", "what is a drip": help with the rest as its subject, where no number asks for a sum."""
    hits = [h for h in text.hits("words_controls", "how_to") if h.start <= 1]
    of_the_bot = hits and (
        hits[0].meaning == "word" or lexicon("words_controls", "bot_verb").at(text.tokens, hits[0].stop)
    )
    if of_the_bot and not any(token.is_number for token in text.tokens):
        used = frozenset(range(len(text.tokens)))
        subject = text.typed(hits[0].stop, len(text.tokens)).strip(" ?!.") or None
        yield Claim((Control("help", subject=subject),), used, weigh(text.tokens, used, 0.8))


def _word_of_the_trade(text: Text) -> Iterator[Claim]:
    """ "what is cycling", "whats a gate?": nothing but a word that can be explained."""
    whole, hits = range(len(text.tokens)), text.hits("words_controls", "what_is")
    said = [i for i in whole if hits and i >= hits[0].stop and text.tokens[i].is_word and word(text, i) not in POLITE]
    said = [i for i in said if word(text, i) not in ("a", "an")]
    asked = " ".join(word(text, i) for i in said)
    known = {each for term in table("glossary")["terms"].values() for each in phrases(term["words"])}
    if hits and hits[0].start == 0 and asked in known and not places(text.parameters) & set(said):
        used = frozenset(whole)
        yield Claim((Control("help", subject=asked),), used, weigh(text.tokens, used, 1.25))


def _asked_at_large(text: Text) -> Iterator[Claim]:
    """ "what's left for today", "whats my next stop", "what's still running": questions made of their own few words."""
    said = [i for i in range(len(text.tokens)) if text.tokens[i].is_word]
    asking = lexicon("words_controls", "asks").words()
    little = lexicon("words_controls", "little").words() | asking | POLITE
    asks = bool(said) and word(text, said[0]) in asking
    for hit in text.hits("words_controls", "core"):
        rest = [i for i in said if i not in hit.span and word(text, i) not in little]
        if asks and all(i in places(text.hits("words_controls", "core")) for i in rest):
            used = frozenset(range(len(text.tokens)))
            yield Claim((Control(hit.meaning),), used, weigh(text.tokens, used, 1.25))
            return


def _numbered(text: Text) -> Iterator[Claim]:
    """ "stop 2", "cancel timer 3", "done 3", "snooze 2"? no: a number behind "snooze" is minutes."""
    for hit in (*text.hits("words_controls", "whole"), *text.hits("words_controls", "message")):
        if hit.meaning not in ("stop", "done", "undo"):
            continue
        place = past_small(
            text, hit.stop, len(text.tokens), ("no", "number", "#", "wait", "timer", "the", "nr", ".", "no.")
        )
        measure = text.measure_at(place)
        stretch = phrase(text, hit.start)
        if (
            measure
            and not measure.units
            and measure.number.value.is_integer()
            and measure.stop == stretch.stop
            and hit.start == _start(text, stretch)
        ):
            used = frozenset(range(hit.start, measure.stop))
            control = Control(hit.meaning, number=int(measure.number.value))
            yield Claim((control,), used, weigh(text.tokens, used, 1.3))


def _start(text: Text, stretch: range) -> int:
    place = stretch.start
    while place < stretch.stop and word(text, place) in POLITE:
        place += 1
    return place


_ARRIVALS = around("controls", "arrivals")


def _arriving(text: Text) -> Iterator[Claim]:
    """ "at brindlemoor", "here q7", "starting at osier": an arrival and a tank, no more, at the head of the message."""
    for mention in text.mentions:
        stretch = clause(text, mention.start)
        lead = words(text, stretch.start, mention.start)
        first = word(text, mention.start)
        opened = [*lead, first] if first in ("at", "@", "in") else lead
        tail = words(text, mention.stop, stretch.stop)
        whole = _only_greeted(text, stretch.start) and all(each in _ARRIVAL_TAIL for each in tail)
        only_named = _only_greeted(text, mention.start) and mention.stop == len(text.tokens)
        arrival = only_named or (_ARRIVALS & set(opened) and all(each in _ARRIVAL_WORDS for each in opened))
        known = len(mention.options) == 1 or mention.options != text.situation.tanks
        if whole and arrival and not mention.vat and known and opened != ["in"]:
            used = frozenset(range(stretch.start, mention.stop))
            alone = stretch.stop == len(text.tokens)
            if alone or opened not in (["at"], ["@"]) or word(text, stretch.stop) in (".", "\n", ";", "!"):
                here: Item = Control("here", tank=mention.options[0])
                if len(mention.options) > 1:
                    said = text.typed(mention.start, mention.stop)
                    here = Clarify("which_tank", said, options=mention.options, about=Control("here"))
                yield Claim((here,), used, weigh(text.tokens, used, 1.3), covers=Tank(mention.options))


def _only_greeted(text: Text, stop: int) -> bool:
    return set(words(text, 0, stop)) - POLITE <= _COMMAS


_ARRIVAL_TAIL = around("controls", "arrival_tail")
_ARRIVAL_WORDS = _ARRIVALS | POLITE | {"the", "on", "site", "to", "up", "it", "we", "are"}
_COMMAS = frozenset((",", ".", "!", "-", "\n"))


def _override(text: Text) -> Iterator[Claim]:
    """ "override: only 10 L top-off": the rest of the line is the reason."""
    for place, token in enumerate(text.tokens):
        if token.text in ("override", "overriding", "overide") and place == line(text, place).start:
            stop = line(text, place).stop
            opened = place + 1 + (word(text, place + 1) in ("it", "gate") and word(text, place + 2) in _BEFORE_REASON)
            start = next((i for i in range(opened, stop) if word(text, i) not in _BEFORE_REASON), stop)
            used = frozenset(range(place, stop))
            yield Claim(
                (Control("override", reason=text.typed(start, stop) or None),), used, weigh(text.tokens, used, 1.6)
            )


_BEFORE_REASON = (":", "-", ",", ".", "because", "cos", "cause", "reason", "as", "since", "=")


def _minutes_at_hand(text: Text) -> Iterator[Claim]:
    """ "only 40 min today", "i have 40 min": a visit to be planned into that."""
    for length in text.durations:
        before = words(text, length.start - 3, length.start)
        if {"only", "just", "got", "have", "plan"} & set(before) and length.unit in ("min", "h"):
            stretch = clause(text, length.start)
            rest = [
                i
                for i in stretch
                if i not in length.span
                and word(text, i) not in POLITE | {"only", "got", "have", "today", "plan", "left", "ive", "i've"}
            ]
            if not rest and {"only", "just", "plan"} & set(words(text, stretch.start, stretch.stop)):
                used = frozenset(stretch)
                yield Claim((Control("plan", minutes=length.minutes),), used, weigh(text.tokens, used, 1.3))


def _billing(text: Text) -> Iterator[Claim]:
    for place, token in enumerate(text.tokens):
        if token.text in ("billing", "invoices", "invoice", "bill", "bills") and place == clause(text, place).start:
            stop = clause(text, place).stop
            start = past_small(text, place + 1, stop, ("for", "of", "the"))
            month = lexicon("words_times", "month").at(text.tokens, start)
            if month or stop == place + 1:
                used = frozenset(range(place, month[0].stop if month else stop))
                subject = text.typed(start, month[0].stop) if month else None
                yield Claim((Control("billing", subject=subject),), used, weigh(text.tokens, used, 1.3))
