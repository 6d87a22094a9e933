"""The tool room: register a master, grow tools from tools, retire a tool."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolRetired
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import usable_tool
from tracelink.station.common.slots import read_matrix, reason_slot
from tracelink.station.common.taken_reading import keyed_text, plant_code
from tracelink.station.sentences import toolroom_sentences as say
from tracelink.station.sentences.common_sentences import THE_MATRIX_NUMBER
from tracelink.station.sentences.process import blank_sentences
from tracelink.station.toolroom.blanks import BLANK, blank_of
from tracelink.station.toolroom.tool_tags import new_tag, read_side

GROWN_FROM = {"lacquer": "father", "father": "mother", "mother": "stamper", "copper": "stamper"}
"""What a tool becomes when it is grown: three steps from a lacquer, one from a copper master.

Source: common practice, as described for both processes in trade literature; see the guide, sources.
"""


def known_tool(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The tag of a tool that may be used."""
    return usable_tool(plant_code(CodeKind.TOOL, reading, say.A_TOOL_TAG), context).code


def _matrix(reading: Reading, values: Values, context: ScanContext) -> str:
    matrix = read_matrix(keyed_text(reading, THE_MATRIX_NUMBER), context)
    blank = blank_of(values, context)
    if blank is not None:
        if matrix != blank.matrix:
            raise blank_sentences.cut_wrong(blank, matrix)
        return matrix
    side = context.queries.side_of_matrix(matrix)
    if side is None:
        raise say.matrix_of_no_product(matrix)
    if side != values["side"]:
        raise say.wrong_side(matrix, side, values["side"])
    return matrix


def _grown_parent(reading: Reading, values: Values, context: ScanContext) -> str:
    code = known_tool(reading, values, context)
    tool = context.queries.tool(code)
    assert tool is not None
    if tool.what not in GROWN_FROM:
        raise say.cannot_grow(tool.what, code)
    return code


def _has_no_blank(values: Values, context: ScanContext) -> bool:
    return blank_of(values, context) is None


def _register(what: str) -> Form:
    def finish(values: Values, context: ScanContext) -> ActResult:
        blank = blank_of(values, context)
        side = values["side"] if blank is None else blank.side
        body = MasterRegistered(values["tool"], what, side, values["matrix"])
        return ActResult((Act(body),), say.registered(what, body.tool, body.side, body.matrix))

    slots = (
        Slot("tool", say.SCAN_THE_NEW_TOOL_TAG, new_tag),
        Slot("side", say.TYPE_THE_SIDE, read_side, needed=_has_no_blank),
        Slot("matrix", say.TYPE_THE_MATRIX_NUMBER, _matrix),
    )
    return Form(what.upper(), "tool", slots, finish)


def _grow(values: Values, context: ScanContext) -> ActResult:
    parent = context.queries.tool(values["parent"])
    assert parent is not None
    body = ToolGrown(values["tool"], GROWN_FROM[parent.what], parent.code, parent.side, parent.matrix)
    return ActResult((Act(body),), say.grown(body.what, body.tool, parent.what, parent.code))


def _retire(values: Values, context: ScanContext) -> ActResult:
    press = context.queries.tool_mounted_on(values["tool"])
    if press is not None:
        raise say.tool_mounted(values["tool"], press)
    return ActResult((Act(ToolRetired(values["tool"]), values["reason"]),), say.retired(values["tool"]))


FORMS = (
    BLANK,
    _register("lacquer"),
    _register("copper"),
    Form(
        "GROW",
        "tool",
        (
            Slot("parent", say.SCAN_THE_PARENT, _grown_parent),
            Slot("tool", say.SCAN_THE_NEW_TOOL_TAG, new_tag),
        ),
        _grow,
    ),
    Form(
        "RETIRE",
        "tool",
        (
            Slot("tool", say.SCAN_THE_TOOL_TAG, known_tool),
            reason_slot(ReasonAct.TOOL_RETIRE, say.TYPE_WHY_RETIRED),
        ),
        _retire,
    ),
)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    code = plant_code(CodeKind.TOOL, reading, say.AN_ACTION_CARD_OR_TOOL_TAG)
    tool = context.queries.tool(code)
    if tool is None:
        blank = context.queries.blank(code)
        return ActResult((), say.tag_is_new(code) if blank is None else blank_sentences.about_blank(blank))
    press, notice = context.queries.tool_mounted_on(code), context.queries.hold_on(code)
    return ActResult((), say.about_tool(tool, press, notice))


ACTS = StationActs({form.word: form for form in FORMS}, _default)
