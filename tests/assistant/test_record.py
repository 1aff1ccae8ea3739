"""The record after any entries, edits, undo and put back is the one that the final messages alone would give."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.assistant.team import Chat

TEXTS = ("elm lobby ph 8.1", "elm lobby ph 8.3 no3 10", "fir bar 78f", "fir bar sg 1.0255 ph 8.2", "elm lobby alk 8.4")


@dataclass
class Said:
    who: str
    ref: str
    text: str
    stands: bool = True


@dataclass
class Model:
    """What people meant: their messages in the end."""

    said: list[Said] = field(default_factory=list)
    order: list[Said] = field(default_factory=list)
    undone: list[Said] = field(default_factory=list)


WHO = st.sampled_from(("ana", "ben"))
ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("say"), WHO, st.sampled_from(TEXTS), st.just(0)),
        st.tuples(st.just("edit"), WHO, st.sampled_from(TEXTS), st.integers(0, 5)),
        st.tuples(st.just("undo"), WHO, st.just(""), st.just(0)),
        st.tuples(st.just("put back"), WHO, st.just(""), st.just(0)),
    ),
    max_size=10,
)


@given(ACTS)
@settings(max_examples=60, deadline=None)
def test_any_sequence_leaves_the_record_of_the_final_messages(acts: list[tuple[str, str, str, int]]) -> None:
    chat, model = Chat(), Model()
    for verb, who, text, which in acts:
        _act(chat, model, verb, who, text, which)
    fresh = Chat()
    for each in (s for s in model.said if s.stands):
        fresh.say(each.who, each.text)
    assert _values(chat) == _values(fresh)


def _act(chat: Chat, model: Model, verb: str, who: str, text: str, which: int) -> None:
    if verb == "say":
        chat.say(who, text)
        model.said.append(Said(who, chat.last_ref, text))
        model.order.append(model.said[-1])
    elif verb == "edit":
        mine = [s for s in model.said if s.who == who]
        if mine and mine[which % len(mine)].text != text:
            meant = mine[which % len(mine)]
            chat.edit(who, meant.ref, text)
            meant.text, meant.stands = text, True
            model.order.remove(meant)
            model.order.append(meant)
            model.undone = [s for s in model.undone if s is not meant]
    elif verb == "undo":
        chat.say(who, "undo")
        meant_or_none = next((s for s in reversed(model.order) if s.who == who and s.stands), None)
        if meant_or_none:
            meant_or_none.stands = False
            model.undone.append(meant_or_none)
    else:
        chat.say(who, "put back")
        last = next((s for s in reversed(model.undone) if s.who == who), None)
        if last:
            last.stands = True
            model.undone.remove(last)


def _values(chat: Chat) -> list[tuple[str, str, float]]:
    return sorted((i.tank, i.parameter, i.value) for i in chat.in_force())
