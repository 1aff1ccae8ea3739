"""What is said of test kits: which is in use, which has expired, which is suspected."""

from __future__ import annotations

from bot.items import Reading
from bot.rules.kits import Kit, Suspicion
from bot.wording.quantities import full_name, reading

OPTIONS = (("It counts", "confirm"), ("Drop", "drop"))
NOT_YET = "Kept as unconfirmed; not used for anything yet. Test with a good kit, or does it count?"


def in_use(kit: Kit) -> str:
    """ "NO3 kit lot 27 (until Jun 2026) from now on"."""
    until = f" (until {kit.expiry:%b %Y})" if kit.expiry else ""
    return f"{full_name(kit.parameter)} kit lot {kit.lot}{until} from now on"


def expired(kit: Kit) -> str:
    """It has expired already."""
    return f"Watch: lot {kit.lot} expired {kit.expiry:%b %Y}: its values are asked about before they count"


def doubted(item: Reading, kit: Kit) -> str:
    """A test with an expired kit, or one open too long, as it is quoted."""
    why = f"open since {kit.opened:%b %Y}" if kit.opened else f"expired {kit.expiry:%b %Y}"
    return f"{reading(item)}? Kit lot {kit.lot} {why}."


def suspect(parameter: str, found: Suspicion) -> str:
    """ "Watch: 4 of 5 tanks on NO3 kit lot 27 jumped; tanks on lot 26 did not. Suspect the kit."."""
    named = [lot for lot in found.others if lot != "no lot"]
    rest = f"; tanks on lot {', '.join(named[:2])} did not" if named else ""
    return (
        f"Watch: {found.odd} of {found.tested} tanks on {full_name(parameter)} kit lot {found.lot} jumped{rest}."
        " Suspect the kit."
    )
