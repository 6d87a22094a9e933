"""What was scanned, keyed or typed, as what a slot asks for; or a refusal of what came instead."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, NumberKeyed, PlantRead, Reading, TextKeyed
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.station.common.queries import StationQueries
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import Entered


def plant_code(kind: CodeKind, reading: Reading, asked: str) -> str:
    """Return the text of a plant code of the kind asked for, or refuse what came instead."""
    if isinstance(reading, PlantRead) and reading.code.kind is kind:
        return reading.code.text
    raise misplaced(reading, asked)


def number(reading: Reading, asked: str) -> int:
    """Return a keyed number, or refuse what came instead."""
    if isinstance(reading, NumberKeyed):
        return reading.value
    raise misplaced(reading, asked, Entered.KEYED)


def keyed_text(reading: Reading, asked: str) -> str:
    """Return a keyed text, or refuse what came instead."""
    if isinstance(reading, TextKeyed):
        return reading.text
    raise misplaced(reading, asked, Entered.TYPED)


def decimal_sign(queries: StationQueries) -> DecimalSign:
    """Return what stands before the decimals of a number that is typed in this plant."""
    return DecimalSign.COMMA if queries.setting("decimal_comma") else DecimalSign.POINT


def number_or_text(reading: Reading, asked: str) -> str:
    """Return what was keyed as a number or typed as a text, or refuse what came instead."""
    return str(reading.value) if isinstance(reading, NumberKeyed) else keyed_text(reading, asked)


def sscc(reading: Reading, asked: str) -> str:
    """Return the SSCC of a logistic label, or refuse what came instead."""
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return str(reading.sscc)
    raise misplaced(reading, asked)
