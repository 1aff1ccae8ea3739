"""The record after any entries, corrections, edits, undo and put back is the one that the final messages would give."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.store import waits
from tests.assistant.team import Chat

TEXTS = (
    "elm lobby ph 8.1",
    "elm lobby ph 8.3 no3 10",
    "fir bar temp 78f",
    "fir bar sg 1.0255 ph 8.2, net in bleach 30 min",
    "elm lobby alk 8.4, ph 8.15",
    "elm lobby return off 15 min",
)
PH = ("8.05", "8.2", "8.25")


@dataclass(eq=False)
class Correction:
    """A reply that puts the pH of a message right. `of`: which wording it was about; of another it says nothing."""

    value: str
    of: int
    stands: bool = True


@dataclass(eq=False)
class Said:
    """A message as it reads now. `mended`: corrections in the order they came into force; an edit ends them."""

    who: str
    ref: str
    text: str
    stands: bool = True
    mended: list[Correction] = field(default_factory=list)
    edits: int = 0

    @property
    def final(self) -> str:
        """What it says in the end, the last correction in it."""
        words = self.text.replace(",", " , ").split()
        if self.mended and "ph" in words:
            words[words.index("ph") + 1] = self.mended[-1].value
        return " ".join(words).replace(" , ", ", ")


@dataclass
class Model:
    """What people meant. `order`: what each said, the newest last, as undo counts."""

    said: list[Said] = field(default_factory=list)
    order: list[tuple[str, Said, Correction | None]] = field(default_factory=list)
    undone: list[tuple[str, Said, Correction | None]] = field(default_factory=list)


WHO = st.sampled_from(("ana", "ben"))
ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("say"), WHO, st.sampled_from(TEXTS), st.just(0)),
        st.tuples(st.just("edit"), WHO, st.sampled_from(TEXTS), st.integers(0, 5)),
        st.tuples(st.just("correct"), WHO, st.sampled_from(PH), st.integers(0, 5)),
        st.tuples(st.just("undo"), WHO, st.just(""), st.just(0)),
        st.tuples(st.just("put back"), WHO, st.just(""), st.just(0)),
    ),
    max_size=12,
)


@given(ACTS)
@settings(max_examples=60, deadline=None)
def test_any_sequence_leaves_the_record_of_the_final_messages(acts: list[tuple[str, str, str, int]]) -> None:
    chat, model = Chat(), Model()
    for verb, who, text, which in acts:
        DOES[verb](chat, model, who, text, which)
    fresh = Chat()
    for each in (s for s in model.said if s.stands):
        fresh.say(each.who, each.final)
    assert _readings(chat) == _readings(fresh)
    assert _waits(chat) == _waits(fresh)


def _say(chat: Chat, model: Model, who: str, text: str, which: int) -> None:
    chat.say(who, text)
    model.said.append(Said(who, chat.last_ref, text))
    model.order.append((who, model.said[-1], None))


def _edit(chat: Chat, model: Model, who: str, text: str, which: int) -> None:
    mine = [s for s in model.said if s.who == who]
    if not mine or mine[which % len(mine)].text == text:
        return
    meant = mine[which % len(mine)]
    chat.edit(who, meant.ref, text)
    meant.text, meant.stands = text, True
    meant.mended.clear()
    meant.edits += 1
    model.order.remove((who, meant, None))
    model.order.append((who, meant, None))
    model.undone = [u for u in model.undone if u != (who, meant, None)]


def _correct(chat: Chat, model: Model, who: str, value: str, which: int) -> None:
    mine = [s for s in model.said if s.who == who and s.stands and "ph" in s.text]
    if not mine:
        return
    meant = mine[which % len(mine)]
    chat.say(who, f"ph {value}", reply_to=meant.ref)
    meant.mended.append(Correction(value, meant.edits))
    model.order.append((who, meant, meant.mended[-1]))


def _undo(chat: Chat, model: Model, who: str, text: str, which: int) -> None:
    chat.say(who, "undo")
    last = next((o for o in reversed(model.order) if o[0] == who and (o[2] or o[1]).stands), None)
    if last is None:
        return
    _, meant, mend = last
    (mend or meant).stands = False
    if mend in meant.mended:
        meant.mended.remove(mend)
    model.undone.append(last)


def _put_back(chat: Chat, model: Model, who: str, text: str, which: int) -> None:
    chat.say(who, "put back")
    last = next((u for u in reversed(model.undone) if u[0] == who), None)
    if last is None:
        return
    _, meant, mend = last
    (mend or meant).stands = True
    model.undone.remove(last)
    if mend and mend.of == meant.edits:
        meant.mended.append(mend)


DOES = {"say": _say, "edit": _edit, "correct": _correct, "undo": _undo, "put back": _put_back}


def _readings(chat: Chat) -> list[tuple[str, str, float]]:
    return sorted((i.tank, i.parameter, i.value) for i in chat.in_force() if i.kind == "reading")


def _waits(chat: Chat) -> list[tuple[str, str | None, str, float]]:
    return sorted((w.kind, w.tank, w.owner, w.minutes) for w in waits.open_waits(chat.db))
