"""A sample that was scanned, as the ledger knows it."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.station.common.forms import ScanContext, Values
from tracelink.station.common.station_facts import Sample
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.lab.lab_values import sample_of
from tracelink.station.sentences import lab_sentences as say


def known_sample(context: ScanContext, code: str) -> Sample:
    """Return a sample.

    Raises:
        Refused: there is none of that tag.
    """
    return sample_of(code, context.queries)


def any_sample(reading: Reading, _values: Values, context: ScanContext) -> str:
    """Return the tag of a sample that was scanned, or refuse what came instead."""
    return known_sample(context, plant_code(CodeKind.SAMPLE, reading, say.A_SAMPLE_TAG)).code
