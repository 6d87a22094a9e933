"""Which discs the lab wants next of the lot on a press, told with what the press says anyway."""

from tracelink.station.common.forms import ScanContext
from tracelink.station.sentences.press_sentences import for_the_lab

_TOLD = 3
"""Strokes told at once: as many as come before the counter is read again, in most lots."""


def lab_wants(context: ScanContext, lot: str, counter: int) -> str:
    """Return what the lab wants behind a counter, as a sentence to add; empty if no plan is kept for the product."""
    return for_the_lab(context.queries.wanted_samples(lot, counter, _TOLD))
