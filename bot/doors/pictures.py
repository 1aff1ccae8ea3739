"""The verb `pictures`: every picture and page that there is, made from the demo team into a folder, to be looked at."""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from bot.assistant.desk import handle
from bot.doors.drawn import ready
from bot.messages import Incoming, Pressed, Tick
from bot.store import files, outbox
from bot.store.database import open_database
from bot.store.demo import load_demo

PHONE = 360


@dataclass(frozen=True)
class Ask:
    """Something that a person of the demo team sends; `name` is what its picture is called in the folder."""

    who: str
    text: str
    name: str = ""
    photo: str | None = None
    press: bool = False


# A visit with all that pictures show, and each picture asked for on the way. T: technician, O: office, W: owner.
_SCRIPT = (
    Ask("T", "here {tank}"),
    Ask("T", "", photo="before.jpg"),
    Ask("T", "78.4 ph 8.2 sg 1.0255 alk 8.3 no3 14"),
    Ask("T", "net 3 in bleach 30 min"),
    Ask("T", "return pump off 20 min"),
    Ask("T", "sign", "sign-on-the-glass"),
    Ask("T", "wiped glass, emptied skimmer cup, 15% wc, added 1 royal gramma"),
    Ask("T", "alk 83"),
    Ask("T", "return pump on, flow seen"),
    Ask("T", "plot", "plot-of-a-tank"),
    Ask("T", "plot no3", "plot-of-one-test"),
    Ask("T", "day bar", "bar-of-today"),
    Ask("T", "", photo="after.jpg"),
    Ask("T", "before after", "before-and-after"),
    Ask("T", "tank card", "tank-card"),
    Ask("T", "visit sheet", "visit-sheet"),
    Ask("T", "stop"),
    Ask("T", "leaving"),
    Ask("O", "report {tank}"),
    Ask("O", "Send", "report-of-a-visit", press=True),
    Ask("T", "{tank} no3 was 9 not 14"),
    Ask("O", "report {tank}"),
    Ask("O", "Send", "report-corrected", press=True),
    Ask("O", "labels", "labels-letter"),
    Ask("O", "labels a4", "labels-a4"),
    Ask("O", "net labels 6", "labels-of-nets"),
    Ask("O", "vat labels", "labels-of-vats"),
    Ask("O", "bleach label", "labels-for-bleach"),
    Ask("O", "sheet of all tanks", "sheet-of-all-tanks"),
    Ask("O", "vat level", "vats-next-week"),
    Ask("O", "contact map net 3", "contacts-of-net-3"),
    Ask("W", "year page {client}", "year-page"),
)


def pictures(arguments: list[str]) -> int:
    """Makes them all and says where they are; status 1 where one could not be made."""
    parser = argparse.ArgumentParser(
        "python -m bot pictures", description="Every picture and page, made from the demo team into a folder."
    )
    parser.add_argument("folder", help="where they go; made if it is not there")
    parser.add_argument("--now", metavar="TIME", help="the time it is taken to be, in ISO form with its offset")
    parser.add_argument("--phone", action="store_true", help="beside each picture a copy in grey, 360 wide")
    options = parser.parse_args(arguments)
    now = datetime.fromisoformat(options.now) if options.now else datetime.now(UTC)
    folder = Path(options.folder)
    folder.mkdir(parents=True, exist_ok=True)
    missing = []
    with tempfile.TemporaryDirectory() as place:
        for ask, text, made in _made(Path(place) / "demo.db", now):
            if not made:
                missing.append(ask.name)
                continue
            target = folder / f"{ask.name}{Path(made).suffix}"
            shutil.copyfile(made, target)
            print(f"{target.name}: {' / '.join(text.splitlines())}")
            if options.phone and target.suffix == ".png":
                _on_the_phone(target)
    if missing:
        print(f"Not made: {', '.join(missing)}", file=sys.stderr)
    return int(bool(missing))


def _made(path: Path, now: datetime) -> Iterator[tuple[Ask, str, str | None]]:
    """Plays the visit; each picture with the text beside it and the file, None where there is none."""
    db = open_database(path)
    load_demo(db, now)
    _take_photos(db)
    people = _people(db)
    for number, ask in enumerate(_SCRIPT):
        at = now + timedelta(minutes=3 * number)
        handle(db, Tick(at))
        for row in outbox.unsent(db, 1000):
            outbox.crossed_off(db, row["id"], at)
        text, found = _answer(db, ask, people, at, f"p{number}")
        if ask.name:
            yield ask, text, found
    db.close()


def _answer(db: Database, ask: Ask, people: dict[str, Any], at: datetime, ref: str) -> tuple[str, str | None]:
    who, text = people[ask.who], ask.text.format(**people)
    button = outbox.labelled(db, who, text) if ask.press else None
    if button:
        handle(db, Pressed(at, who, who, button.data))
    else:
        handle(db, Incoming(at, who, who, text, ref, photo=ask.photo))
    answers = [ready(db, outbox.as_outgoing(row)) for row in outbox.unsent(db, 1000) if row["chat"] == who]
    told = [m for m in answers if m.files] or answers
    return (told[0].text, told[0].files[0] if told[0].files else None) if told else ("", None)


def _people(db: Database) -> dict[str, Any]:
    from bot.store.roster import load_team

    team = load_team(db)
    roles = {"T": "technician", "O": "office", "W": "owner"}
    found = {key: team.with_role(role)[0].name for key, role in roles.items()}
    return found | {"tank": team.tanks[0].name, "client": team.clients[0].name}


def _take_photos(db: Database) -> None:
    """Two photos that nobody took: a tank with green glass, and the same when it is clean."""
    from PIL import Image, ImageDraw

    folder = files.folder_of(db)
    assert folder
    folder.mkdir(parents=True, exist_ok=True)
    for name, glass in (("before.jpg", (96, 138, 70)), ("after.jpg", (70, 130, 180))):
        image = Image.new("RGB", (1200, 900), glass)
        pencil = ImageDraw.Draw(image)
        pencil.rectangle((0, 720, 1200, 900), fill=(216, 196, 150))
        for x, y, size in ((180, 560, 190), (640, 500, 260), (980, 620, 130)):
            pencil.ellipse((x - size, y - size // 2, x + size, y + size), fill=(110, 92, 84))
        for x, y in ((420, 240), (760, 320), (930, 180)):
            pencil.ellipse((x, y, x + 130, y + 62), fill=(236, 120, 40))
            pencil.polygon(((x, y + 31), (x - 46, y), (x - 46, y + 62)), fill=(236, 120, 40))
        image.save(folder / name, quality=85)


def _on_the_phone(path: Path) -> None:
    from PIL import Image

    folder = path.parent / "phone"
    folder.mkdir(exist_ok=True)
    with Image.open(path) as image:
        size = (PHONE, round(image.height * PHONE / image.width))
        image.convert("L").resize(size, Image.Resampling.LANCZOS).save(folder / path.name)
