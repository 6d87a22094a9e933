"""BLANK: a blank is inspected and gets a tag, tied to side and disc by the barcode of the product, before it is cut."""

from tracelink.identity.reading import Reading, SleeveRead
from tracelink.ledger.kinds.process.masters import BlankInspected
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import Blank
from tracelink.station.common.station_facts import PartFact
from tracelink.station.common.taken_reading import keyed_text, number
from tracelink.station.sentences import toolroom_sentences
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.process import blank_sentences as say
from tracelink.station.toolroom.tool_tags import new_tag, read_side

_GOOD = "good"


def blank_of(values: Values, context: ScanContext) -> Blank | None:
    """Return the blank under a tag, that may be cut; None if the tag has none.

    Raises:
        Refused: it was found bad.
    """
    found = context.queries.blank(values["tool"])
    if found is not None and found.fault is not None:
        raise say.blank_is_bad(found)
    return found


def _unused_tag(reading: Reading, values: Values, context: ScanContext) -> str:
    code = new_tag(reading, values, context)
    if context.queries.blank(code) is not None:
        raise toolroom_sentences.tag_in_use(code)
    return code


def _product(reading: Reading, _values: Values, context: ScanContext) -> str:
    if not isinstance(reading, SleeveRead):
        raise misplaced(reading, say.THE_BARCODE)
    gtin = reading.gtin.gtin13
    if context.queries.product(gtin) is None:
        raise say.no_such_product(gtin)
    return gtin


def _is_set(values: Values, context: ScanContext) -> bool:
    return len(context.queries.parts(values["gtin"])) > 1


def _piece(reading: Reading, values: Values, context: ScanContext) -> int:
    piece = number(reading, say.WHICH_DISC)
    discs = len(context.queries.parts(values["gtin"]))
    if not 1 <= piece <= discs:
        raise say.no_such_disc(piece, discs)
    return piece


def _blank(reading: Reading, _values: Values, _context: ScanContext) -> str:
    return keyed_text(reading, say.NUMBER_OF_THE_BLANK).strip()


def _inspected(reading: Reading, _values: Values, _context: ScanContext) -> str:
    return keyed_text(reading, say.GOOD_OR_FAULT).strip()


def _part(values: Values, context: ScanContext) -> PartFact:
    wanted = values.get("disc", 1)
    return next(part for part in context.queries.parts(values["gtin"]) if part.piece == wanted)


def _inspect(values: Values, context: ScanContext) -> ActResult:
    part, side = _part(values, context), values["side"]
    fault = None if values["inspected"].lower() == _GOOD else values["inspected"]
    body = BlankInspected(
        values["tool"], values["blank"], part.gtin, part.piece, side, part.matrix(side), fault
    )
    return ActResult((Act(body),), say.inspected(body.tool, part, side, fault))


BLANK = Form(
    "BLANK",
    "tool",
    (
        Slot("tool", toolroom_sentences.SCAN_THE_NEW_TOOL_TAG, _unused_tag),
        Slot("gtin", say.SCAN_THE_BARCODE, _product),
        Slot("disc", say.KEY_THE_DISC, _piece, needed=_is_set),
        Slot("side", toolroom_sentences.TYPE_THE_SIDE, read_side),
        Slot("blank", say.TYPE_THE_BLANK, _blank),
        Slot("inspected", say.TYPE_GOOD_OR_FAULT, _inspected),
    ),
    _inspect,
)
"""A blank before it is cut."""
