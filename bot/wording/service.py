"""What the service itself says: to strangers and newcomers, about what it cannot take, about its own trouble."""

from __future__ import annotations

from bot.wording import learner

BAD_CODE = "That code is not good, or no longer. Ask the person who gave it to you for a new one."
TOO_MANY_CODES = "Too many wrong codes. Try again in an hour."
ALREADY_IN = "You are on the list already. The code was not used: it stays good for whoever it is meant for."

# The shortcuts that the chat service lists under its menu button; each stands for a word that can be typed as well.
COMMANDS = {
    "status": "what is running, by due time",
    "today": "today's stops",
    "undo": "take back my last message",
    "leaving": "close the visit",
    "help": "what to type",
}


def welcome(person: str, role: str) -> str:
    """The first message to somebody who just came in."""
    if role == "learner":
        return learner.welcome(person)
    return (
        f"{person.capitalize()}, you're in ({role}).\n"
        "Text what you read or do, tank first: oak st ph 8.1 78F\n"
        "Wrong? Edit the message or press Undo. Deleting does nothing."
    )


def unread(thing: str) -> str:
    """What came was something nobody here can read."""
    return f"I cannot read {thing}: nothing stored from it. Send text, a photo or a document."


def cannot_hear() -> str:
    """A voice note where no program is set that hears."""
    return "I cannot hear voice notes here: nothing of it is stored. Please type it."


def not_heard(why: str) -> str:
    """A voice note that gave no words."""
    return f"I could not hear that voice note ({why}): nothing of it is stored. Please type it."


def heard(text: str) -> str:
    """The words as they were heard, beside what was made of them."""
    return f'Heard: "{text}"'


def too_large(name: str, size: int, most: int) -> str:
    """A document above what the service hands over."""
    return f"{name} has {size / 1e6:.0f} MB; I can fetch {most / 1e6:.0f} MB at most. Not stored: send smaller parts."


def not_fetched(name: str) -> str:
    """A picture or document that did not come through."""
    return f"{name} did not come through, so it is not stored. Send it again."


def disk_is_full(name: str) -> str:
    """No room for a picture or document."""
    return f"{name} is not stored: the disk is nearly full. Your text counts. Tell whoever runs the machine."


def set_aside(number: int) -> str:
    """A fault of the program stopped a message from being worked off."""
    return (
        "A fault of mine stopped that message: nothing of it is stored.\n"
        f"It is kept as no. {number} for whoever runs me. Please send it again in other words."
    )


def trouble(why: str) -> str:
    """The store cannot take anything in just now."""
    return (
        f"STOP I cannot store anything: {why}\n"
        "What you send waits at the chat service for up to 24 h and is read then. Until it is mended: paper, a timer."
    )


NO_FILE = "(A picture that belongs here is not on this machine, or could not be drawn.)"
"""Said in place of a file."""
