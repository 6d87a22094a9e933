"""A sample that was scanned, as the ledger knows it: a disc by its tag, a built piece by its serial label."""

from collections.abc import Callable

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.station.common.forms import ScanContext, Slot, Values
from tracelink.station.common.station_facts import Sample
from tracelink.station.lab.lab_values import sample_of
from tracelink.station.sentences import lab_sentences as say
from tracelink.station.sentences.common_sentences import misplaced

SAMPLED = (CodeKind.SAMPLE, CodeKind.PIECE)
"""Kinds of codes that a sample can have."""


def known_sample(context: ScanContext, code: str) -> Sample:
    """Return a sample.

    Raises:
        Refused: there is none of that code.
    """
    return sample_of(code, context.queries)


def any_sample(reading: Reading, _values: Values, context: ScanContext) -> str:
    """Return the code of a sample that was scanned, or refuse what came instead."""
    return known_sample(context, sample_code(reading, say.A_SAMPLE_TAG)).code


def sample_code(reading: Reading, asked: str) -> str:
    """Return the sample tag or serial label that was scanned, or refuse what came instead."""
    if isinstance(reading, PlantRead) and reading.code.kind in SAMPLED:
        return reading.code.text
    raise misplaced(reading, asked)


def sample_slot(accept: Callable[[Reading, Values, ScanContext], str] = any_sample) -> Slot:
    """Return the slot for a sample, which asks for serial labels too where units are built."""

    def asks(context: ScanContext) -> str:
        return say.SCAN_THE_SAMPLE_OR_UNIT if context.queries.builds_units() else say.SCAN_THE_SAMPLE_TAG

    return Slot("sample", say.SCAN_THE_SAMPLE_TAG, accept, asks_here=asks)
