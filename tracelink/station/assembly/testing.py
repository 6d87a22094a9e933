"""PASS and FAIL: the result of a test belongs to the piece, the station and the version of the programme."""

from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.assembly.unit_entries import PieceTested
from tracelink.station.common.assembly.built_pieces import as_body, known_piece, piece_of
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.chart_signals import fault_signals, with_signals
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import has_left
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_lab import TestedPoint
from tracelink.station.common.taken_reading import keyed_text
from tracelink.station.sentences.assembly import unit_back_sentences
from tracelink.station.sentences.assembly import unit_sentences as say


def _piece(reading: Reading, _values: Values, context: ScanContext) -> str:
    piece = known_piece(reading, context)
    if piece.parent is not None and has_left(piece.parent, context):
        raise unit_back_sentences.with_a_customer(piece, piece.parent)
    return piece.code


def _text(name: str, asks: str, asked: str) -> Slot:
    def accept(reading: Reading, _values: Values, _context: ScanContext) -> str:
        return keyed_text(reading, asked).strip()

    return Slot(name, asks, accept)


def _programme(reading: Reading, values: Values, context: ScanContext) -> str:
    typed = keyed_text(reading, say.THE_PROGRAMME).strip()
    before = _programme_before(values, context)
    return before if typed == say.AS_BEFORE and before is not None else typed


def _programme_before(values: Values, context: ScanContext) -> str | None:
    """The programme of the last test of such a piece at this station: it seldom changes, and is long to type."""
    part = piece_of(values["piece_label"], context).build.part
    return context.queries.last_programme(part, context.station)


def _as_before(values: Values, context: ScanContext) -> str:
    before = _programme_before(values, context)
    return "" if before is None else say.same_programme(before)


PIECE = Slot("piece_label", say.SCAN_THE_PIECE, _piece)
PROGRAMME = Slot("programme", say.TYPE_THE_PROGRAMME, _programme, told_before=_as_before)


def _passed(values: Values, context: ScanContext) -> ActResult:
    piece = piece_of(values["piece_label"], context)
    body = PieceTested(
        as_body(piece), piece.build.part, values["programme"], passed=True, symptom=None, position=None
    )
    signals = fault_signals(_point(piece, body, context), context.queries)
    return with_signals([Act(body)], say.passed(piece, body.programme), signals)


def _point(piece: PieceFact, body: PieceTested, context: ScanContext) -> TestedPoint:
    return TestedPoint(
        piece.code,
        piece.build.code,
        piece.number,
        body.part,
        context.station,
        not body.passed,
        body.symptom,
        body.position,
    )


PASS = Form("PASS", "assembly", (PIECE, PROGRAMME), _passed)
"""A piece passed."""


def _failed(values: Values, context: ScanContext) -> ActResult:
    piece = piece_of(values["piece_label"], context)
    position = values["position"]
    body = PieceTested(
        as_body(piece),
        piece.build.part,
        values["programme"],
        passed=False,
        symptom=values["symptom"],
        position=None if position == say.NOT_KNOWN else position,
    )
    signals = fault_signals(_point(piece, body, context), context.queries)
    return with_signals([Act(body)], say.failed(piece, values["symptom"]), signals, FindingCode.TEST_FAILED)


FAIL = Form(
    "FAIL",
    "assembly",
    (
        PIECE,
        PROGRAMME,
        _text("symptom", say.TYPE_THE_SYMPTOM, say.THE_SYMPTOM),
        _text("position", say.TYPE_THE_POSITION, say.THE_POSITION),
    ),
    _failed,
)
"""A piece failed."""
