"""What a sentence leaves open, and what closes it."""

import pytest

from bot.facts.load import table
from bot.items import Event
from bot.rules import open_ends


def event(subject: str, state: str | None = None, name: str = "equipment") -> Event:
    return Event(name, tank="Elm lobby", subject=subject, state=state)


@pytest.mark.parametrize(
    ("subject", "state", "key"),
    [("return pump", "off", "pump"), ("heater", "off", "heater"), ("skimmer", "off", "skimmer"),
     ("ato", "off", "top_off"),
     ("uv", "off", "uv"), ("co2", "off", "co2"), ("lights", "off", "lights"), ("ball valve", "on", "valve"),
     ("siphon", "on", "siphon"), ("canister", "off", "filter"), ("air pump", "off", "air"),
     ("autofill", "off", "autofill"),
     ("chiller", "broken", "chiller"), ("lid", "removed", "lid"), ("doser", "off", "doser")],
)  # fmt: skip
def test_what_is_switched_off_or_left_running_is_open_until_it_is_undone(subject, state, key):
    assert open_ends.ends_of(event(subject)) == (key,)
    assert open_ends.opens(key, event(subject, state))
    undone = "off" if state == "on" else "on"
    assert open_ends.closes(key, event(subject, undone))
    assert not open_ends.opens(key, event(subject, undone))


@pytest.mark.parametrize(
    ("subject", "text", "opens", "closes"),
    [("fine pad", "fine pad in", True, False), ("fine pad", "took the fine pad out", False, True),
     ("carbon", "carbon out", True, False), ("carbon", "new carbon in", False, True)],
)  # fmt: skip
def test_pads_and_carbon_open_and_close_by_what_is_said_of_them(subject, text, opens, closes):
    item = event(subject, name="filter_service")
    key = open_ends.ends_of(item)[0]
    assert (open_ends.opens(key, item, text), open_ends.closes(key, item, text)) == (opens, closes)


def test_a_list_of_machines_opens_each_of_them():
    assert open_ends.ends_of(event("return and skimmer")) == ("pump", "skimmer")


@pytest.mark.parametrize("key", sorted(table("open_ends")))
def test_every_open_end_has_a_reminder_of_its_own_and_is_named_at_leaving(key):
    kind = open_ends.kind(key)
    assert kind.default and kind.leave and len(kind.out) <= 18


def test_the_press_that_closes_it_tells_the_logbook_so():
    assert open_ends.closing_event("heater", "heater", "Elm lobby", None).state == "on"
    assert open_ends.closing_event("valve", "ro valve", None, "Vat 2").state == "off"
    assert open_ends.closing_event("pad", None, "Elm lobby", None).closes
