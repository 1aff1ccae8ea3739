"""What a client's front desk reads when it tells us something, and what the office reads of it; plain words."""

from __future__ import annotations

from bot.facts.load import table


def page(client: str, phone: str) -> str:
    """What opens when the label at the desk is scanned."""
    return (
        f"{client}: tell us what you see, a photo helps. Our office reads it and answers here.\n"
        f"{call(phone)}\n"
        'Send "report" for the last visit.'
    )


def call(phone: str) -> str:
    """When to phone instead."""
    return f"Call {phone or 'us'} at once if: {', '.join(table('report')['call']['if'])}."


def passed_on(phone: str, urgent: bool) -> str:
    """The answer to what the desk wrote; whoever writes of something that cannot wait is told to call."""
    return (
        f"Passed to our office, who answer here.\n{call(phone)}" if urgent else "Passed to our office, who answer here."
    )


def for_office(client: str, text: str, card: str | None) -> str:
    """The desk's words with the tank's card."""
    said = f'{client}, front desk: "{text}"' if text else f"{client}, front desk: a photo"
    return "\n".join(filter(None, (said, card)))


def answered(client: str) -> str:
    """To whoever answered."""
    return f"Answered the front desk of {client}"


def access_ended(desk: str) -> str:
    """Somebody at a desk is off the list."""
    return f"{desk} off the list, access ended"


NO_REPORT = "No report has gone out yet. Our office sends one after the visit."
