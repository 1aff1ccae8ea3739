"""Random facts and the many ways to type them: strategies for tests/understanding/test_phrasings.py.

A fact is the item that must come back, with the words that say it. The words are put together here from tables of
manners, not from the reader's own; only the names of parameters are taken from facts/words_readings.toml, so that each
is tried.
"""

from dataclasses import dataclass, replace
from datetime import timedelta

from hypothesis import strategies as st

from bot.facts.load import table
from bot.items import Correction, Event, Item, Reading, Situation, Wait

TANKS = ("Cedar Row lobby", "Tidewater Grill", "Suite 310 nano", "Bluff Road clinic", "Q7", "Granite Bank reef")
SHORT = {
    "Cedar Row lobby": ("cedar row lobby", "Cedar Row", "cedar", "lobby", "cedar row's lobby", "CEDAR ROW"),
    "Tidewater Grill": ("Tidewater Grill", "tidewater", "the grill", "tidewatr grill"),
    "Suite 310 nano": ("suite 310", "Suite 310 nano", "suite three ten"),
    "Bluff Road clinic": ("bluff road clinic", "bluff clinic", "bluff rd clinic"),
    "Q7": ("Q7", "q7"),
    "Granite Bank reef": ("granite bank", "granite bank reef", "Granite"),
}

# parameter: (lowest, highest, decimals, unit where none is said, units that may be said)
PLAIN = {
    "ph": (5.5, 9.2, 2, "pH", ()),
    "temperature": (60, 88, 1, "degF", (("f", "degF"), ("°F", "degF"), (" deg f", "degF"), (" degrees", "degF"))),
    "alkalinity": (2, 15, 1, "dKH", ((" dkh", "dKH"), ("dKH", "dKH"))),
    "ammonia": (0, 8, 2, "mg/L", ((" ppm", "mg/L"), (" mg/l", "mg/L"))),
    "nitrite": (0, 10, 2, "mg/L", ((" ppm", "mg/L"), ("mg/l", "mg/L"))),
    "nitrate": (0, 200, 0, "mg/L", ((" ppm", "mg/L"), ("ppm", "mg/L"))),
    "phosphate": (0, 5, 2, "mg/L", ((" ppm", "mg/L"), (" ppb", "ug/L"))),
    "calcium": (300, 600, 0, "mg/L", ((" ppm", "mg/L"),)),
    "magnesium": (900, 1700, 0, "mg/L", ((" ppm", "mg/L"),)),
    "potassium": (250, 500, 0, "mg/L", ((" ppm", "mg/L"),)),
    "strontium": (2, 15, 1, "mg/L", ()),
    "copper": (0, 3, 2, "mg/L", ((" ppm", "mg/L"),)),
    "orp": (150, 450, 0, "mV", ((" mv", "mV"), ("mV", "mV"))),
    "hardness": (1, 25, 0, "dGH", ((" dgh", "dGH"),)),
    "oxygen": (4, 12, 1, "mg/L", ((" mg/l", "mg/L"),)),
    "tds": (0, 900, 0, "mg/L", ((" ppm", "mg/L"),)),
    "chloride": (20, 900, 0, "mg/L", ((" mg/l", "mg/L"),)),
}
SPOKEN_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
SPOKEN_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


@dataclass(frozen=True)
class Fact:
    """An item, and words that say it; `joins`: it may stand with others in one breath, only spaces between."""

    item: Item
    words: str
    joins: bool = True


def spoken(value: float, decimals: int) -> str:
    """The value as one says it: 8.05 is "eight point zero five"."""
    whole, _, part = f"{value:.{decimals}f}".partition(".")
    said = _spoken_whole(int(whole))
    return f"{said} point {' '.join(SPOKEN_ONES[int(d)] for d in part)}" if part else said


def _spoken_whole(value: int) -> str:
    if value >= 100:
        rest = _spoken_whole(value % 100) if value % 100 else ""
        return f"{_spoken_whole(value // 100)} hundred {rest}".strip()
    if value < 20:
        return SPOKEN_ONES[value]
    return " ".join(filter(None, (SPOKEN_TENS[value // 10], SPOKEN_ONES[value % 10] if value % 10 else "")))


def _names(parameter: str) -> list[str]:
    """The names that are no ordinary words besides, nor say a unit or water of their own."""
    rows = table("words_readings")
    unsure = {w for group in ("open_parameter", "name_unit") for line in _lines(rows[group]) for w in line.split(", ")}
    names = [name for line in [rows["parameter"][parameter]] for name in line.split(", ")]
    return [name for name in names if name not in unsure and name[-1].isalnum()]


def _lines(rows: dict) -> list[str]:
    return [line for line in rows.values() if isinstance(line, str)]


@st.composite
def readings(draw) -> Fact:
    """A reading of one parameter, in digits or words, name first or last, glued or apart, with or without a unit."""
    parameter = draw(st.sampled_from(sorted(PLAIN)))
    low, high, decimals, unit, units = PLAIN[parameter]
    value = round(draw(st.floats(low, high)), decimals)
    name = draw(st.sampled_from(_names(parameter)))
    if draw(st.integers(0, 9)) == 0:
        return Fact(Reading(parameter, value, unit), f"{name} {draw(_LINKS)}{spoken(value, decimals)}", joins=False)
    digits = _digits(draw, value, decimals)
    word, unit = draw(st.sampled_from([("", unit), *units]))
    hedge, item = draw(st.sampled_from(_hedges(Reading(parameter, value, unit))))
    case = draw(st.sampled_from((str, str.upper, str.title)))
    if draw(st.booleans()) or (not item.about and hedge):
        glue = (
            ""
            if not hedge and name[-1].isalpha() and digits[0].isdigit() and draw(st.booleans())
            else " " + draw(_LINKS)
        )
        return Fact(item, f"{case(name)}{glue}{hedge}{digits}{word}")
    return Fact(item, f"{hedge}{digits}{word} {case(name)}", joins=False)


_LINKS = st.sampled_from(
    ("", "", "", "is ", "was ", ": ", "= ", "at ", "now ", "came in at ", "reads ", "is at ", "- ")
)


def _digits(draw, value: float, decimals: int) -> str:
    digits = f"{value:.{decimals}f}"
    ways = [digits]
    if digits.startswith("0."):
        ways.append(digits[1:])
    if decimals in (1, 2):
        ways.append(digits.replace(".", ","))
    if value >= 1000 and decimals == 0:
        ways.append(f"{int(value):,}")
    return draw(st.sampled_from(ways))


def _hedges(item: Reading) -> list[tuple[str, Reading]]:
    about, below, above = replace(item, about=True), replace(item, below=True), replace(item, above=True)
    return [("", item)] * 6 + [
        ("~", about),
        ("about ", about),
        ("<", below),
        ("under ", below),
        (">", above),
        ("over ", above),
    ]


@st.composite
def gravities(draw) -> Fact:
    value = round(draw(st.floats(1.015, 1.031)), 4)
    name = draw(
        st.sampled_from(("sg", "SG", "salinity", "sal", "specific gravity", "s.g.", "gravity", "refractometer"))
    )
    digits = draw(st.sampled_from((f"{value:.4f}", f"{value:.4f}".replace(".", ","))))
    return Fact(Reading("salinity", float(f"{value:.4f}"), "SG"), f"{name} {draw(_LINKS)}{digits}")


@st.composite
def events(draw) -> Fact:
    """A water change, a top-off, a loss, an arrival, a dose or a feeding."""
    count, amount = draw(st.integers(2, 9)), draw(st.integers(5, 90))
    animal = draw(st.sampled_from(("clowns", "chromis", "hermits", "turbo snails", "yellow tangs", "anthias")))
    unit, word = draw(
        st.sampled_from(
            (("gal", "gal"), ("gal", " gallons"), ("L", "L"), ("L", " litres"), ("%", "%"), ("%", " percent"))
        )
    )
    fresh, litre = draw(st.sampled_from((("gal", " gal"), ("gal", " gallons"), ("L", " L"))))
    change, topped = Event("water_change", amount=amount, unit=unit), Event("top_off", amount=count, unit=fresh)
    return draw(
        st.sampled_from(
            (
                Fact(change, f"wc {amount}{word}"),
                Fact(change, f"{amount}{word} water change"),
                Fact(change, f"changed {amount}{word}"),
                Fact(change, f"did a {amount}{word} wc", joins=False),
                Fact(topped, f"topped off {count}{litre}", joins=False),
                Fact(topped, f"top off {count}{litre}", joins=False),
                Fact(Event("livestock_lost", count=count, subject=animal), f"lost {count} {animal}"),
                Fact(Event("livestock_lost", count=count, subject=animal), f"{count} {animal} died", joins=False),
                Fact(Event("livestock_added", count=count, subject=animal), f"added {count} {animal}"),
                Fact(
                    Event("dose", amount=amount, unit="mL", subject="iodine"), f"dosed {amount} ml iodine", joins=False
                ),
                Fact(Event("feeding"), "fed"),
            )
        )
    )


@st.composite
def waits(draw) -> Fact:
    minutes = draw(st.integers(5, 90))
    length = draw(st.sampled_from((f"{minutes} min", f"{minutes}min", f"{minutes} minutes", f"for {minutes} mins")))
    kind, words = draw(
        st.sampled_from(
            (
                ("float", "floating 2 clowns"),
                ("drip", "dripping 3 anthias"),
                ("bleach_soak", "nets in bleach"),
                ("bleach_soak", "bleach soak"),
                ("rinse_soak", "rinsing buckets"),
                ("settle", "let it settle"),
                ("pump_off", "return pump off"),
            )
        )
    )
    return Fact(Wait(kind, minutes=minutes), f"{words} {length}", joins=False)


@st.composite
def corrections(draw) -> Fact:
    parameter = draw(st.sampled_from(("ph", "alkalinity", "calcium", "nitrate", "hardness")))
    low, high, decimals, unit, _ = PLAIN[parameter]
    new, old = (round(draw(st.floats(low, high)), decimals) for _ in range(2))
    name = draw(st.sampled_from(_names(parameter)))
    words = draw(
        st.sampled_from(("{name} was {new} not {old}", "{name} is {new} not {old}", "the {name} was {new}, not {old}"))
    )
    said = words.format(name=name, new=f"{new:.{decimals}f}", old=f"{old:.{decimals}f}")
    return Fact(Correction(parameter, value=new, unit=unit, old=old), said, joins=False)


@dataclass(frozen=True)
class Message:
    text: str
    items: tuple[Item, ...]
    situation: Situation


@st.composite
def messages(draw, now) -> Message:
    """One to five facts in one breath or on several lines, with the tank named before them or in hand."""
    facts = draw(
        st.lists(st.one_of(readings(), gravities(), events(), waits()), min_size=1, max_size=5, unique_by=_subject)
    )
    tank = draw(st.sampled_from(TANKS))
    in_hand = draw(st.sampled_from((tank, None, TANKS[0])))
    separators = ("; ", "\n", ". ") if in_hand != tank else (", ", "; ", "\n", ". ")
    joint = " " if all(fact.joins for fact in facts) and draw(st.booleans()) else draw(st.sampled_from(separators))
    body = joint.join(fact.words for fact in facts)
    text = (
        body
        if in_hand == tank
        else f"{draw(st.sampled_from(SHORT[tank]))}{draw(st.sampled_from((' ', ': ', ', ', chr(10))))}{body}"
    )
    text = draw(st.sampled_from(("{}", "{}", "{} 👍", "ok {}", "hey {} thanks", "{} thx!"))).format(text)
    items = tuple(replace(fact.item, tank=tank) for fact in facts)
    return Message(text, items, Situation(now - timedelta(), "us", in_hand, TANKS))


def _subject(fact: Fact) -> str:
    return getattr(fact.item, "parameter", None) or getattr(fact.item, "event", None) or "wait"
