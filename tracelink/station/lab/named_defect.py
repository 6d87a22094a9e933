"""How the lab says what it found: good, or a defect by its name, typed or from a card."""

from collections.abc import Callable

from tracelink.identity.reading import Reading, TextKeyed
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.station.common.forms import ScanContext, Slot, Values
from tracelink.station.common.slots import asks_for_card, card_for
from tracelink.station.common.taken_reading import keyed_text
from tracelink.station.sentences import lab_sentences as say

GOOD = "good"
"""What is typed in place of a defect."""


def is_good(reading: Reading) -> bool:
    """Return whether good was typed."""
    return isinstance(reading, TextKeyed) and reading.text.strip().lower() == GOOD


def named_defect(reading: Reading, asked: str, context: ScanContext) -> str:
    """Return the name of a defect, in small letters, or refuse what came instead.

    Args:
        reading: what was scanned or typed.
        asked: what belongs there, for whoever scans something else.
        context: with the cards of the plant.
    """
    card = card_for(ReasonAct.LAB_BAD, reading, context)
    return (keyed_text(reading, asked) if card is None else card.text).strip().lower()


def good_or_defect(reading: Reading, context: ScanContext) -> str:
    """Return GOOD, or the name of a defect."""
    return GOOD if is_good(reading) else named_defect(reading, say.GOOD_OR_DEFECT, context)


def defect_slot(asks: str, accept: Callable[[Reading, Values, ScanContext], str]) -> Slot:
    """Return a slot for a defect, which asks for a card where the plant has cards for defects."""
    return Slot(
        "defect", asks, accept, asks_here=lambda context: asks_for_card(ReasonAct.LAB_BAD, asks, context)
    )
