"""What is said of a wait that runs: "stop the float", "ok the bleach soak is done", "+5", "give the drip to tomasz"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.items import Control
from bot.understanding.claims import Claim, weigh
from bot.understanding.clauses import clause, past_small, phrase, places, word, words
from bot.understanding.controls import POLITE
from bot.understanding.lexicon import Hit, around, lexicon
from bot.understanding.text import Text

_SMALL = frozenset(POLITE | around("running", "small"))


def claims(text: Text) -> Iterator[Claim]:
    """Every clause that is about a wait already running."""
    names = text.hits("words_controls", "wait_name")
    for name in names:
        yield from _ended(text, name)
        yield from _by_word_before(text, name, "wait_out", "done")
        yield from _by_word_before(text, name, "wait_stop", "stop")
        yield from _by_word_before(text, name, "wait_ask", "status")
    yield from _tools_out(text)
    yield from _tools_taken(text, names)
    yield from _more(text, names)
    yield from _handed_over(text, names)
    yield from _this_is(text)


def _rest_is_small(text: Text, stretch: range, used: frozenset[int]) -> bool:
    named = {i for m in text.mentions for i in m.span} | places(text.durations)
    return all(
        i in used or i in named or word(text, i) in _SMALL or not (text.tokens[i].is_word or text.tokens[i].is_number)
        for i in stretch
    )


def _ended(text: Text, name: Hit) -> Iterator[Claim]:
    """ "the bleach soak is done", "drip done", "nets are out"."""
    place = past_small(
        text, name.stop, len(text.tokens), ("is", "are", "the", "all", "now", "soak", "has", "timer", "s", "'")
    )
    for start in dict.fromkeys((name.stop, place)):
        for hit in lexicon("words_controls", "wait_done").at(text.tokens, start)[:1]:
            if name.meaning == "pump_off" and word(text, hit.start) in ("off", "out", "up", "over", "is", "are"):
                continue
            used = name.span | frozenset(range(name.stop, hit.stop))
            yield from _told(text, name, used, Control("done", wait=name.meaning))


def _tools_out(text: Text) -> Iterator[Claim]:
    """ "buckets out", "nets are rinsed": tools that waited have not to any more."""
    for tool in text.hits("words_waits", "tool"):
        place = past_small(text, tool.stop, len(text.tokens), ("are", "is", "all", "now", "the"))
        ended = lexicon("words_controls", "tool_out").at(text.tokens, place)
        if ended and not _is_machine(text, tool):
            name = Hit(tool.start, tool.stop, "")
            control = Control("done", subject=text.typed(tool.start, tool.stop))
            yield from _told(text, name, frozenset(range(tool.start, ended[0].stop)), control)


def _tools_taken(text: Text, names: Sequence[Hit]) -> Iterator[Claim]:
    """ "pulled the nets", "took the nets out of the bleach": out of what they lay in."""
    for tool in text.hits("words_waits", "tool"):
        verb = next((i for i in (tool.start - 1, tool.start - 2) if word(text, i) in _TAKEN), -1)
        gap = words(text, verb + 1, tool.start)
        out = past_small(text, tool.stop, len(text.tokens), ("back", "out", "of", "the", "from"))
        source = next((n for n in names if n.start == out), None)
        said = "out" in words(text, tool.stop, out) or word(text, verb) in _TAKEN - {"took", "taken"}
        if verb >= 0 and set(gap) <= {"the", "my"} and said and not _is_machine(text, tool):
            stop = source.stop if source else out
            control = Control(
                "done", wait=source.meaning if source else None, subject=text.typed(tool.start, tool.stop)
            )
            yield from _told(text, Hit(tool.start, tool.stop, ""), frozenset(range(verb, stop)), control)


_TAKEN = around("running", "taken")


def _is_machine(text: Text, tool: Hit) -> bool:
    return any(h.start == tool.start for h in text.hits("words_machines", "machine"))


def _by_word_before(text: Text, name: Hit, group: str, action: str) -> Iterator[Claim]:
    for start in range(max(0, name.start - 7), name.start):
        for hit in lexicon("words_controls", group).at(text.tokens, start):
            if (
                all(word(text, i) in ("the", "my", "that") for i in range(hit.stop, name.start))
                and hit.stop <= name.start
            ):
                yield from _told(text, name, frozenset(range(start, name.stop)), Control(action, wait=name.meaning))


def _told(text: Text, name: Hit, used: frozenset[int], control: Control) -> Iterator[Claim]:
    """Only where nothing else stands in the clause (or up to an "and"), and no ping is asked for it."""
    if any(_leads_to(text, ping, name) for ping in text.hits("words_waits", "ping")):
        return
    for stretch in (clause(text, name.start), phrase(text, name.start), _up_to_next(text, name, used)):
        if _rest_is_small(text, stretch, used):
            named = {i for m in text.mentions if m.plausible >= 1 for i in m.span}
            every = used | frozenset(i for i in stretch if i not in named)
            yield Claim((control,), every, weigh(text.tokens, every, 1.3))
            return


def _leads_to(text: Text, ping: Hit, name: Hit) -> bool:
    """ "timer 20 min: nets out of bleach": what is to be said when the time has come."""
    return ping.start < name.start and not {",", ".", ";", "\n"} & set(words(text, ping.stop, name.start))


def _up_to_next(text: Text, name: Hit, used: frozenset[int]) -> range:
    """The clause up to where another wait begins: "bleach soak is finished rinsing now"."""
    inside = clause(text, name.start)
    kinds = [h.start for h in text.hits("words_waits", "kind") if h.start > max(used) and h.start in inside]
    return range(inside.start, min([inside.stop, *kinds]))


def _more(text: Text, names: Sequence[Hit]) -> Iterator[Claim]:
    """ "+5", "10 more min", "wait 15", "give the drip another 15 min": nothing else in the message."""
    for measure in text.measures:
        stretch = clause(text, measure.start)
        minutes = _minutes(text, measure.start)
        own = range(measure.start, max(measure.stop, _stop_of_length(text, measure.start)))
        if minutes is None or not 0 < minutes <= _MOST_MORE or not _alone(text, stretch):
            continue
        name = next((n for n in names if n.start in stretch), None)
        if _asks_for_more(text, [i for i in stretch if i not in own], name):
            control = Control("snooze", minutes=minutes, wait=name.meaning if name else None)
            used = frozenset(stretch)
            yield Claim((control,), used, weigh(text.tokens, used, 1.25))


_MOST_MORE = 24 * 60.0


def _asks_for_more(text: Text, around: list[int], name: Hit | None) -> bool:
    """A word for "more" stands there, and beside it only its own little words and the name of the wait."""
    sure, little = (lexicon("words_controls", group).words() for group in ("more", "more_little"))
    plus = {i for i in around if word(text, i) == "+" and not text.tokens[i].glued}  # not the sign of "K+"
    told = {i for i in around if word(text, i) in sure} | plus
    known = told | {
        i for i in around if word(text, i) in little or word(text, i) in _SMALL or (name and i in name.span)
    }
    only_wait = name is not None and {word(text, i) for i in told} == {"wait"}
    return bool(told) and not only_wait and len(known) == len(around)


def _alone(text: Text, stretch: range) -> bool:
    """Nothing but polite words stands in the message beside this."""
    return all(
        i in stretch or word(text, i) in POLITE or not (text.tokens[i].is_word or text.tokens[i].is_number)
        for i in range(len(text.tokens))
    )


def _minutes(text: Text, place: int) -> float | None:
    length = next((d for d in text.durations if d.start == place), None)
    if length:
        return length.minutes
    measure = text.measure_at(place)
    return measure.number.value if measure and not measure.units else None


def _stop_of_length(text: Text, place: int) -> int:
    return max((d.stop for d in text.durations if d.start == place), default=0)


def _handed_over(text: Text, names: Sequence[Hit]) -> Iterator[Claim]:
    """ "give the drip to tomasz", "hand over to petra", "tomasz takes the bleach soak"."""
    people = people_in(text)
    for who, place in people:
        inside = clause(text, place)
        said = [
            each for each in words(text, inside.start, inside.stop) if each not in ("please", "pls", "can", "you", "ok")
        ]
        name = next((n for n in names if n.start in inside), None)
        verb = said[:1] and said[0] in ("give", "hand", "handover", "pass", "transfer", "assign")
        gives = verb and (word(text, place - 1) == "to" or (name and said[1:2] == [word(text, place)]))
        takes = said[:1] == [word(text, place)] and any(
            h.start == place + 1 for h in text.hits("words_controls", "who") if h.meaning == "takes"
        )
        every = takes and _EVERYTHING & set(said[2:])
        if gives or (takes and name) or every:
            used = frozenset(inside)
            numbers = [m for m in text.measures if m.start in inside]
            number = int(numbers[0].number.value) if len(numbers) == 1 and not numbers[0].units else None
            control = Control("hand_over", who=who, wait=name.meaning if name else None, number=number)
            yield Claim((control,), used, weigh(text.tokens, used, 1.3))


_EVERYTHING = around("running", "everything")


def _this_is(text: Text) -> Iterator[Claim]:
    """ "this is ines": whoever writes now, on a borrowed phone."""
    for who, place in people_in(text):
        inside = clause(text, place)
        before = " ".join(words(text, inside.start, place))
        if (
            before in ("this is", "its", "it's", "im", "i'm", "i am", "here is", "hi this is", "hey its")
            and place + 1 >= inside.stop
        ) or (before == "" and words(text, place + 1, inside.stop) in (["here"], ["speaking"], ["writing"])):
            used = frozenset(inside)
            yield Claim((Control("this_is", who=who),), used, weigh(text.tokens, used, 1.3))


def people_in(text: Text) -> list[tuple[str, int]]:
    found = []
    for place, token in enumerate(text.tokens):
        for person in text.situation.people:
            name = person.lower()
            if token.text == name or (
                len(token.text) >= 3
                and token.is_word
                and name.startswith(token.text)
                and len(name) - len(token.text) <= 4
            ):
                found.append((person, place))
                break
    return found
