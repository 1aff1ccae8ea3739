"""The gates: which question comes next, what an answer does, who may go on without it. None says a thing is safe."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bot.facts.load import table
from bot.rules.words import covered, said_alone, says

OVERRIDDEN = "override"
_NUMBER = re.compile(r"(\d*[.,]?\d+) *(?:mg/l|ppm)?[.!]?")


@dataclass(frozen=True)
class Answer:
    """One way to answer. `then`: pass, again (back a step) or hold; `override`: the roles that may go on anyway."""

    key: str
    label: str
    then: str
    says: str = ""
    override: tuple[str, ...] = ()
    words: str = ""
    sure: str = ""


@dataclass(frozen=True)
class Query:
    """One question of a gate."""

    key: str
    ask: str
    answers: tuple[Answer, ...]
    zero: str | None = None
    more: str | None = None

    def answer(self, key: str | None) -> Answer | None:
        """The answer of that key."""
        return next((a for a in self.answers if a.key == key), None)


@dataclass(frozen=True)
class Gate:
    """What must be answered before something counts as done."""

    key: str
    name: str
    queries: tuple[Query, ...]
    checked: str = ""
    back_to: str | None = None


@cache
def gate(key: str) -> Gate:
    """The gate of that key of facts/gates.toml."""
    row = table("gates")[key]
    queries = tuple(_query(q) for q in row.get("questions", ()))
    return Gate(key, row["name"], queries, row.get("checked", ""), row.get("back_to"))


def open_query(of: Gate, answers: Mapping[str, str]) -> Query | None:
    """The question that comes next; None once all are answered with a pass, or overridden."""
    return next((q for q in of.queries if not is_passed(q, answers.get(q.key))), None)


def is_passed(query: Query, given: str | None) -> bool:
    """Whether the answer given opens the way."""
    known = query.answer(given)
    return given == OVERRIDDEN or bool(known and known.then == "pass")


def held(of: Gate, answers: Mapping[str, str]) -> Answer | None:
    """The answer that keeps the gate shut, where one was given."""
    query = open_query(of, answers)
    known = query.answer(answers.get(query.key)) if query else None
    return known if known and known.then == "hold" else None


def answers_in(text: str, of: Gate, answers: Mapping[str, str]) -> dict[str, str]:
    """The questions of the gate that the words answer: the open one by any of its words, the rest by sure ones."""
    now = open_query(of, answers)
    found = sure_answers_in(text, of)
    if now and now.key not in found and (first := _plain(text, now)):
        found[now.key] = first
    return found


def sure_answers_in(text: str, of: Gate) -> dict[str, str]:
    """The questions that the words answer beyond doubt, open or not."""
    return {q.key: a for q in of.queries if (a := _sure(text, q))}


def is_only(text: str, of: Gate, given: Mapping[str, str]) -> bool:
    """Whether the text says these answers and nothing beside them."""
    if _lone_number(text) is not None:
        return True
    said = [a for q in of.queries if (a := q.answer(given.get(q.key)))]
    return said_alone(text, ", ".join(f"{a.label}, {a.words}, {a.sure}" for a in said))


def query_of(of: Gate, answer_key: str) -> Query | None:
    """The question that an answer belongs to."""
    return next((q for q in of.queries if q.answer(answer_key)), None)


def may(gate_key: str, role: str) -> bool:
    """Whether a role may do what the gate keeps (G11: report, import, merge, delete)."""
    return role in table("gates")[gate_key].get("who", ())


def overriders(gate_key: str) -> tuple[str, ...]:
    """The roles that may go on past a gate that is no part of a wait."""
    return tuple(table("gates")[gate_key].get("override", ()))


def enough_reason(reason: str | None) -> bool:
    """Whether the words are long enough to be a reason."""
    return sum(c.isalpha() for c in reason or "") >= int(table("pings")["reason"]["letters"])


def _sure(text: str, query: Query) -> str | None:
    """The answer that the text names beyond doubt; a refusal goes before a pass."""
    said = [a for a in query.answers if a.sure and says(text, a.sure)]
    longest = _longest(text, [(a, a.sure) for a in said])
    return longest.key if longest else None


def _plain(text: str, query: Query) -> str | None:
    number = _lone_number(text)
    if number is not None and query.zero:
        return query.zero if number == 0 else query.more
    fitting = [(a, f"{a.label}, {a.words}") for a in query.answers if said_alone(text, f"{a.label}, {a.words}")]
    longest = _longest(text, fitting)
    return longest.key if longest else None


def _longest(text: str, fitting: list[tuple[Answer, str]]) -> Answer | None:
    """The answer whose phrase takes most of the text; where two take as much, the one that holds back."""
    ranked = sorted(fitting, key=lambda f: (-covered(text, f[1]), f[0].then == "pass"))
    return ranked[0][0] if ranked else None


def _lone_number(text: str) -> float | None:
    found = _NUMBER.fullmatch(text.strip().casefold())
    return float(found[1].replace(",", ".")) if found else None


def _query(row: Mapping[str, Any]) -> Query:
    number = row.get("number", {})
    return Query(
        row["key"], row["ask"], tuple(_answer(a) for a in row["answers"]), number.get("zero"), number.get("more")
    )


def _answer(row: Mapping[str, Any]) -> Answer:
    known = {k: row[k] for k in ("key", "label", "then", "says", "words", "sure") if k in row}
    return Answer(**known, override=tuple(row.get("override", ())))
