"""What several acts of the tool room ask for: the tag of a new tool, and the side."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.station.common.forms import ScanContext, Values
from tracelink.station.common.taken_reading import keyed_text, plant_code
from tracelink.station.sentences import toolroom_sentences as say
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import Entered


def new_tag(reading: Reading, _values: Values, context: ScanContext) -> str:
    """A tool tag that the ledger has not seen."""
    code = plant_code(CodeKind.TOOL, reading, say.A_NEW_TOOL_TAG)
    if context.queries.tool(code) is not None:
        raise say.tag_in_use(code)
    return code


def read_side(reading: Reading, _values: Values, _context: ScanContext) -> str:
    """A or B, as typed."""
    side = keyed_text(reading, say.THE_SIDE).strip().upper()
    if side not in ("A", "B"):
        raise misplaced(reading, say.THE_SIDE, Entered.TYPED)
    return side
