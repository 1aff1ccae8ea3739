"""Somebody who learns: a question goes to a colleague with the tank's card, the answer comes back and is kept, so that
the next one gets it without asking.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.assistant import arriving, asking, learner_steps, people, practice, tasks, today
from bot.assistant.conversation import tank_in_hand
from bot.assistant.turn import Ask, Part, Turn
from bot.facts.load import table
from bot.items import Control, Item, Task
from bot.messages import Button
from bot.rules import jobs as words
from bot.store import logbook
from bot.store.pending import Pending
from bot.team import Person
from bot.wording import learner as wording

MOST = 500


def press(turn: Turn, args: Sequence[str]) -> list[Part]:
    """[Ask Ines]: what is to be asked; [Answer] under it; [How long here]."""
    if args[0] == "ask":
        who = learner_steps.mentor(turn)
        step = learner_steps.in_hand(turn)
        data = {"whom": who, "step": step}
        return [Part(ask=Ask(wording.what_to_ask(who), (), "ask", "ask", None, data))] if who else []
    if args[0] == "practice":
        return practice.begin(turn, Control("practice"))
    if args[0] == "first":
        return today.take(turn, Control("today"))
    if args[0] == "answer":
        asked = logbook.fact(turn.db, int(args[1]))
        question = _question(asked)
        about = {"fact": int(args[1])}
        return [Part(ask=Ask(wording.answer_now(question), (), "asked", "asked", None, about))] if question else []
    return []


def asked(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The question itself, in the next message."""
    person = turn.team.person(str(question.data["whom"]))
    if not text.strip() or person is None or _is_entry(turn):
        return None
    return [*ask(turn, person, text.strip(), question.data.get("step")), *asking.settled(turn, question)]


def answered(turn: Turn, question: Pending, value: str | None, text: str) -> list[Part] | None:
    """The answer, after [Answer]."""
    if not text.strip() or _is_entry(turn):
        return None
    return [*_answer(turn, int(question.data["fact"]), text.strip()), *asking.settled(turn, question)]


def answer_in_reply(turn: Turn) -> list[Part] | None:
    """The answer as a reply to the question; None for a message that replies to none."""
    found = [f for f in logbook.facts_of(turn.db, [turn.replied]) if not f.void] if turn.replied else []
    mine = [f for f in found if isinstance(f.item, Control) and f.item.action == "ask" and f.item.who == turn.who.name]
    return _answer(turn, mine[0].id, turn.text.strip()) if mine and turn.text.strip() else None


def take_task(turn: Turn, item: Item) -> list[Part]:
    """ "ask ines how long is the drip" is a question to her, not a job for later."""
    assert isinstance(item, Task)
    person = turn.team.person(item.who)
    opens = item.text.split(maxsplit=1)[0].casefold() if item.text else ""
    if turn.text.casefold().startswith("ask ") and person and opens in table("glossary")["questions"]["words"]:
        return ask(turn, person, item.text, None)
    return tasks.take(turn, item)


def ask(turn: Turn, person: Person, question: str, step: str | None) -> list[Part]:
    """Passes a question on, with the tank's card; what was answered before is said at once."""
    known = how_we_do_it(turn, question)
    if known:
        return [Part(head=known[0], lines=tuple(known[1:2]))]
    tank = tank_in_hand(turn)
    fact_id = turn.keep(Control("ask", tank=tank, who=person.name, reason=question, subject=step))
    known_tank = turn.tank(tank)
    card = arriving.card(turn, known_tank) if known_tank else None
    request = wording.request(turn.who.name, question, step, card)
    told = people.told(turn, person.name, request, (Button("Answer", f"ln:answer:{fact_id}"),), sound=True)
    return [Part(head=wording.passed_on(person.name), others=(told,))]


def known_in_words(turn: Turn) -> list[Part] | None:
    """A question of somebody who learns that was answered before in the same words; None for anything else."""
    said = words.meaning(turn.text)
    if turn.who.role != "learner" or not said or turn.text.split()[0].casefold() not in _openings():
        return None
    known = [line for before, line in _answers(turn) if before == said]
    return [Part(head=known[0])] if known else None


def _openings() -> frozenset[str]:
    return frozenset(table("glossary")["questions"]["words"])


def how_we_do_it(turn: Turn, question: str) -> list[str]:
    """What the team answered before to such a question, the latest first."""
    said = words.meaning(question)
    return [line for before, line in _answers(turn) if said and (said <= before or before <= said)]


def _answers(turn: Turn) -> Iterator[tuple[frozenset[str], str]]:
    """Every question that was answered, by the words that carry it, with the answer."""
    for fact in logbook.events(turn.db, None, ["answered"], kind="control", limit=MOST):
        item = fact.item
        if isinstance(item, Control) and (before := words.meaning(item.subject or "")):
            yield before, wording.known(fact.who, item.subject or "", item.reason or "")


def _is_entry(turn: Turn) -> bool:
    """Whether the words are work or numbers and nothing else: no question, and no answer to one."""
    told = turn.understood
    return bool(told.items) and not told.unread and all(i.kind in ("reading", "event", "wait") for i in told.items)


def _answer(turn: Turn, fact_id: int, text: str) -> list[Part]:
    asked_before = logbook.fact(turn.db, fact_id)
    question = _question(asked_before)
    if asked_before is None or question is None:
        return []
    turn.keep(Control("answered", number=fact_id, subject=question, reason=text))
    told = people.told(turn, asked_before.who, wording.answer(turn.who.name, question, text))
    return [Part(head=wording.kept(asked_before.who), stored=True, others=(told,))]


def _question(fact: logbook.Fact | None) -> str | None:
    if fact is None or fact.void or not isinstance(fact.item, Control) or fact.item.action != "ask":
        return None
    return fact.item.reason
