"""Labels of tanks, vats and tools: a code to type and a code to scan; a scan is an arrival."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from sqlite_utils import Database

from bot.assistant import conversation, pictures
from bot.assistant.pictures import Source
from bot.assistant.report_page import paper
from bot.assistant.turn import Part, Turn
from bot.facts.load import table
from bot.items import Control, Setting, Understood
from bot.rules import labels as rules
from bot.rules.setup import best_named
from bot.store import codes, pulse
from bot.store.roster import amend, amend_team
from bot.team import Tank, Team
from bot.wording import labels as wording
from bot.wording.quantities import quantity

_TOOLS = ("bucket", "net", "hose", "tool")


def scanned(turn: Turn) -> list[Part] | None:
    """What a scanned label opens; None where the message is no scan."""
    token = rules.token_in(turn.text)
    if token is None:
        return None
    found = rules.meaning(turn.team, token)
    if found is None:
        return [Part(head=wording.gone())]
    if found.kind == "tank":
        here = Control("here", tank=found.name)
        conversation.carry_on(turn, Understood((here,)))
        return turn.subjects.handlers["control.here"](turn, here)
    if found.kind == "desk":
        return [Part(head=wording.desk(found.name))]
    if found.kind == "vat":
        vat = turn.team.vat(found.name)
        size = quantity(vat.volume.value, vat.volume.unit) if vat and vat.volume else ""
        return [Part(head=wording.vat(found.name, vat.holds if vat else None, size))]
    asked = Control("history", subject="touched", reason=found.name)
    return turn.subjects.handlers["control.history"](turn, asked)


def print_labels(turn: Turn, item: Control) -> list[Part]:
    """The label of the tank that is named or in hand; "labels" without one: a sheet of all."""
    one = item.tank or (conversation.tank_in_hand(turn) if "labels" not in turn.text.casefold() else None)
    tanks = [t for t in turn.team.tanks if one in (None, t.name)]
    new = _labelled(turn, [t for t in tanks if "label_token" not in t.data])
    size = paper(turn.team, turn.text)
    name = pictures.attached(turn, "labels", one, ending="pdf", tanks=[t.name for t in tanks], size=size)
    stored = bool(new)
    if one and tanks:
        code = new.get(one) or tanks[0].data["label"]
        return [Part(said=(wording.one(one, code),), tank=one, stored=stored, files=(name,))]
    return [Part(head=_sheet_of(len(tanks), "label", "sheet", size), stored=stored, files=(name,))]


def fresh(turn: Turn, name: str) -> dict[str, str]:
    """The code and the token of a tank that is being set up, for its row."""
    return {"label": next(iter(rules.free_codes(turn.team))), "label_token": _token(turn, f"tank {name}")}


def sheet_of(turn: Turn, tank: str) -> str:
    """The file with the label of one tank."""
    return pictures.attached(turn, "labels", tank, ending="pdf", tanks=[tank], size=paper(turn.team, turn.text))


def reissue(turn: Turn, item: Control) -> list[Part]:
    """A lost label: the same code to type, another one to scan."""
    tank = turn.tank(item.tank or conversation.tank_in_hand(turn))
    if tank is None:
        return [Part(head="The label of which tank? Send its name with it.")]
    code = tank.data.get("label")
    code = _give(turn, tank, code or next(iter(rules.free_codes(turn.team))))
    said = (wording.reissued(code),)
    return [Part(said=said, tank=tank.name, stored=True, files=(sheet_of(turn, tank.name),))]


def print_tools(turn: Turn, item: Control) -> list[Part]:
    """ "net labels 6": net 1 to net 6; "bucket label 3": that one; "vat labels": those of the vats."""
    size = paper(turn.team, turn.text)
    if re.search(r"\bvats?\b", turn.text.casefold()):
        missing = [v.name for v in turn.team.vats if "label_token" not in v.data]
        for vat in missing:
            amend(turn.db, turn.message_id, "vat", vat, label_token=_token(turn, f"vat {vat}"))
        names = [v.name for v in turn.team.vats]
    else:
        names = _tools_meant(turn, item)
        missing = [n for n in names if n not in rules.tools_of(turn.team)]
        if missing:
            new = {n: _token(turn, f"tool {n}") for n in missing}
            amend_team(turn.db, turn.message_id, tools={**rules.tools_of(turn.team), **new})
    if not names:
        return [Part(head="No vats on the list.")]
    file = pictures.attached(turn, "tools", ending="pdf", names=names, size=size)
    head = _sheet_of(len(names), "label", "tool", size)
    return [Part(head=head, lines=(", ".join(names),), stored=bool(missing), files=(file,))]


def draw(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The sheet of tank labels as a PDF."""
    from bot.wording.papers import labels as page

    tanks = [t for name in spec["tanks"] if (t := source.tank(name)) and "label_token" in t.data]
    return page.tanks([_label(source, tank) for tank in tanks], spec["size"], source.at)


def draw_tools(source: Source, spec: Mapping[str, Any]) -> bytes:
    """The sheet of tool or vat labels as a PDF."""
    from bot.wording.papers import labels as page

    tokens = rules.tools_of(source.team) | {
        v.name: v.data["label_token"] for v in source.team.vats if "label_token" in v.data
    }
    found = [
        page.Tool(name, link(source.db, source.team, tokens[name], name)) for name in spec["names"] if name in tokens
    ]
    return page.tools(found, spec["size"], source.at)


def link(db: Database, team: Team, token: str, typed: str) -> str:
    """What a camera reads: the address that opens the chat with the token; what can be typed where none is known."""
    known = pulse.beats(db).get("link")
    start = team.data.get("link") or (known[1]["start"] if known else None)
    return f"{start}{token}" if start else typed


def _label(source: Source, tank: Tank) -> Any:
    from bot.wording.papers import labels as page

    size = quantity(tank.volume.value, tank.volume.unit) if tank.volume else ""
    code, token = str(tank.data["label"]), str(tank.data["label_token"])
    return page.Label(tank.name, tank.client or "", code, size, link(source.db, source.team, token, f"here {code}"))


def _labelled(turn: Turn, tanks: Sequence[Tank]) -> dict[str, str]:
    """Gives each tank a code and a token; returns the codes."""
    free = iter(rules.free_codes(turn.team))
    return {tank.name: _give(turn, tank, next(free)) for tank in tanks}


def _give(turn: Turn, tank: Tank, code: str) -> str:
    """Puts a code and a new token on file; a code that the tank has already stays."""
    code = str(tank.data.get("label") or code)
    token = _token(turn, f"tank {tank.name}")
    amend(turn.db, turn.message_id, "tank", tank.name, label=code, label_token=token)
    turn.keep(Setting("label", tank.name, {"code": code}))
    return code


def _token(turn: Turn, what: str) -> str:
    return rules.token_from(codes.random_for(turn.db, f"label {turn.message_id} {what}"))


def _tools_meant(turn: Turn, item: Control) -> list[str]:
    said = turn.text.casefold()
    if re.search(r"\bdesk\b", said):
        clients = tuple(c.name for c in turn.team.clients)
        tank = turn.team.client_of(turn.tank(item.tank))
        return [rules.desk_label(name) for name in ((tank.name,) if tank else best_named(said, clients) or clients)]
    kind = next((k for k in _TOOLS if re.search(rf"\b{k}s?\b", said)), "tool")
    count = item.number or 1
    many = re.search(r"\blabels\b", said) is not None
    return [f"{kind} {n}" for n in range(1, count + 1)] if many else [f"{kind} {count}"]


def _sheet_of(count: int, what: str, kind: str, size: str) -> str:
    told = table("papers")["sheet"]
    on_one = told["columns"] * told["rows"] if kind == "sheet" else told["tool_columns"] * told["tool_rows"]
    return wording.many(count, what, -(-count // on_one), size)
