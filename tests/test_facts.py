"""Every table of bot/facts: no number of the trade without its unit and its source, no word that means two things."""

import tomllib
from pathlib import Path

import pytest

FACTS = Path(__file__).parent.parent / "bot" / "facts"
TABLES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(FACTS.glob("*.toml"))}
HONEST = {"common practice, no source", "from memory"}
CONTRACT_UNITS = {
    "SG", "ppt", "PSU", "mS/cm", "uS/cm", "degF", "degC", "mg/L", "ug/L", "dKH", "dGH", "meq/L", "mg/L CaCO3", "mV",
    "%", "pH", "gal", "qt", "pt", "fl oz", "L", "mL", "m3", "g", "mg", "kg", "lb", "oz", "tsp", "tbsp", "cup", "drop",
    "min", "h", "day", "in", "ft", "cm", "mm", "m", "W", "gal/h", "L/h", "gal/day", "L/day", "mL/min", "drop/s",
    "kWh", "1/h", "delta_degF", "delta_degC", "s", "",
}  # fmt: skip
PARAMETERS = {
    "salinity", "temperature", "ph", "ammonia", "nitrite", "nitrate", "phosphate", "alkalinity", "calcium",
    "magnesium", "potassium", "strontium", "iodine", "silicate", "iron", "copper", "chlorine", "chloride", "oxygen",
    "orp", "conductivity", "hardness", "co2", "tds",
}  # fmt: skip
DERIVED = {"meq", "mmol", "mol", "K", "kPa", "J", "t", "year", "month", "week"}


def numbers(table, place="", unit=None, source=None):
    """Every table with a number in it: (place, the numbers, the unit and the source that hold there)."""
    unit, source = _word(table, "unit", unit), _word(table, "source", source)
    own = {k: v for k, v in table.items() if isinstance(v, int | float) and not isinstance(v, bool)}
    if own:
        yield place, own, unit, source
    for key, value in table.items():
        each = value if isinstance(value, list) else [value]
        for inner in each:
            if isinstance(inner, dict):
                yield from numbers(inner, f"{place}.{key}".strip("."), unit, source)


def _word(table, key, above):
    """What the table itself says under the key; a table of that name says nothing."""
    return table[key] if isinstance(table.get(key), str) else above


CASES = [(f"{name}: {place}", *rest) for name, table in TABLES.items() for place, *rest in numbers(table)]


def is_known(unit: str) -> bool:
    """A unit of the contract, of facts/measures.toml, a ratio of such, or "?" where the reader must ask for it."""
    ours = CONTRACT_UNITS | set(TABLES.get("measures", {}).get("unit", {})) | DERIVED
    return unit in ours or unit == "?" or all(part in ours or part == "1" for part in unit.split("/"))


@pytest.mark.parametrize(("place", "found", "unit", "source"), CASES, ids=[case[0] for case in CASES])
def test_each_number_has_a_unit_and_a_source(place, found, unit, source):
    assert unit is not None, f"{place}: {found} has no unit"
    assert is_known(unit), f"{place}: nobody knows the unit {unit!r}"
    assert source in HONEST or source in TABLES["sources"], f"{place}: {source!r} is no key of sources.toml"


@pytest.mark.parametrize("place, found", [(c[0], c[1]) for c in CASES if {"low", "high"} <= set(c[1])])
def test_low_lies_under_high(place, found):
    assert found["low"] < found["high"], place


def test_the_check_sees_a_number_without_a_source():
    naked = {"reef": {"alkalinity": {"low": 7.5, "high": 10.0, "unit": "dKH"}}}
    assert [(place, source) for place, _, _, source in numbers(naked)] == [("reef.alkalinity", None)]


def test_each_source_has_a_title_and_says_how_far_it_was_read():
    for key, source in TABLES["sources"].items():
        assert source["title"], key
        assert source["read"], key


def words_of(table) -> list[str]:
    """The spoken forms that an entry claims: a list, or phrases separated by commas."""
    said = table.get("words", [])
    return [w.strip() for w in (said.split(",") if isinstance(said, str) else said) if w.strip()]


def claimed_twice(table) -> dict[str, list[str]]:
    owners: dict[str, list[str]] = {}
    for name, entry in table.items():
        for word in set(words_of(entry)) if isinstance(entry, dict) else ():
            owners.setdefault(word, []).append(name)
    return {word: names for word, names in owners.items() if len(names) > 1}


def test_no_word_means_two_parameters():
    for name, table in TABLES.items():
        parameters = {k: v for k, v in table.items() if k in PARAMETERS}
        assert claimed_twice(parameters) == {}, name


def test_no_word_means_two_substances():
    assert claimed_twice(TABLES["substances"]) == {}


def test_the_check_sees_a_word_claimed_twice():
    assert claimed_twice({"ph": {"words": "ph, acid"}, "co2": {"words": ["acid"]}}) == {"acid": ["ph", "co2"]}
