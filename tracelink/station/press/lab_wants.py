"""Which discs the lab wants next of the lot on a press, told with what the press says anyway."""

from tracelink.station.common.forms import ScanContext
from tracelink.station.sentences.press_sentences import for_the_lab

_TOLD = 3
"""Strokes told at once: as many as come before the counter is read again, in most lots."""


def lab_wants(context: ScanContext, lot: str, counter: int, *ends: int) -> str:
    """Return what the lab wants behind a counter, as a sentence to add; empty if no plan is kept for the product.

    Args:
        context: of the scan.
        lot: on the press.
        counter: of the press.
        ends: first and last discs of stampers that this scan makes known.
    """
    return for_the_lab(context.queries.wanted_samples(lot, counter, _TOLD, ends))


def lab_wants_last(context: ScanContext, lot: str, counter: int) -> str:
    """Return the same where a lot ends: its last disc is the last of both stampers."""
    return for_the_lab(context.queries.wanted_samples(lot, counter, 0, (counter,) if counter else ()))
