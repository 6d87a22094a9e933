"""The tool room: register a master, grow tools from tools, retire a tool."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolRetired
from tracelink.station.common.forms import (
    ActResult,
    Entered,
    Form,
    ScanContext,
    Slot,
    StationActs,
    Values,
    keyed_text,
    misplaced,
    plant_code,
)
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.refusals import usable_tool
from tracelink.station.common.slots import read_matrix, reason_slot

GROWN_FROM = {"lacquer": "father", "father": "mother", "mother": "stamper", "copper": "stamper"}
"""What a tool becomes when it is grown: three steps from a lacquer, one from a copper master.

Source: common practice, as described for both processes in trade literature; see the guide, sources.
"""


def new_tag(reading: Reading, _values: Values, context: ScanContext) -> str:
    """A tool tag that the ledger has not seen."""
    code = plant_code(CodeKind.TOOL, reading, "a new tool tag")
    if context.queries.tool(code) is not None:
        raise Refused(
            FindingCode.TAG_IN_USE,
            f"Tool tag {code} is in use already. Take a new tag.",
            subject=code,
            expected="a new tag",
            found="a tag in use",
        )
    return code


def known_tool(reading: Reading, _values: Values, context: ScanContext) -> str:
    """The tag of a tool that may be used."""
    return usable_tool(plant_code(CodeKind.TOOL, reading, "a tool tag"), context).code


def _side(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    side = keyed_text(reading, "the side: A or B").strip().upper()
    if side not in ("A", "B"):
        raise misplaced(reading, "the side: A or B", Entered.TYPED)
    return side


def _matrix(reading: Reading, values: Values, context: ScanContext) -> str:
    matrix = read_matrix(keyed_text(reading, "the matrix number"), context)
    side = context.queries.side_of_matrix(matrix)
    if side is not None and side != values["side"]:
        raise Refused(
            FindingCode.WRONG_SIDE,
            f"Matrix number {matrix} belongs to side {side}; you keyed side {values['side']}. Check the lacquer, or "
            "scan CANCEL.",
            subject=matrix,
            expected=f"side {side}",
            found=f"side {values['side']}",
        )
    return matrix


def _grown_parent(reading: Reading, values: Values, context: ScanContext) -> str:
    code = known_tool(reading, values, context)
    tool = context.queries.tool(code)
    assert tool is not None
    if tool.what not in GROWN_FROM:
        raise Refused(
            FindingCode.CANNOT_GROW,
            f"Nothing is grown from a {tool.what}, and {code} is one.",
            subject=code,
        )
    return code


def _register(what: str) -> Form:
    def finish(values: Values, _scene: ScanContext) -> ActResult:
        body = MasterRegistered(values["tool"], what, values["side"], values["matrix"])
        return ActResult((Act(body),), f"{what.capitalize()} {body.tool} side {body.side}, {body.matrix}.")

    slots = (
        Slot("tool", "Scan the new tool tag.", new_tag),
        Slot("side", 'Type " and then the side: A or B.', _side),
        Slot("matrix", 'Type " and then the matrix number as it is cut.', _matrix),
    )
    return Form(what.upper(), "tool", slots, finish)


def _grow(values: Values, context: ScanContext) -> ActResult:
    parent = context.queries.tool(values["parent"])
    assert parent is not None
    body = ToolGrown(values["tool"], GROWN_FROM[parent.what], parent.code, parent.side, parent.matrix)
    return ActResult(
        (Act(body),), f"{body.what.capitalize()} {body.tool} grown from {parent.what} {parent.code}."
    )


def _retire(values: Values, context: ScanContext) -> ActResult:
    press = context.queries.tool_mounted_on(values["tool"])
    if press is not None:
        raise Refused(
            FindingCode.TOOL_MOUNTED,
            f"{values['tool']} is on press {press}. Scan CHANGE or STOP there first.",
            subject=values["tool"],
            found=press,
        )
    return ActResult((Act(ToolRetired(values["tool"]), values["reason"]),), f"{values['tool']} is retired.")


FORMS = (
    _register("lacquer"),
    _register("copper"),
    Form(
        "GROW",
        "tool",
        (
            Slot("parent", "Scan the tool it was grown from.", _grown_parent),
            Slot("tool", "Scan the new tool tag.", new_tag),
        ),
        _grow,
    ),
    Form(
        "RETIRE",
        "tool",
        (
            Slot("tool", "Scan the tool tag.", known_tool),
            reason_slot('Type " and then why it is retired.'),
        ),
        _retire,
    ),
)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    code = plant_code(CodeKind.TOOL, reading, "an action card or a tool tag")
    tool = context.queries.tool(code)
    if tool is None:
        return ActResult((), f"Tag {code} is new.")
    status = "retired" if tool.retired else "in use"
    press, notice = context.queries.tool_mounted_on(code), context.queries.hold_on(code)
    mounted = f", mounted on press {press}" if press else ""
    held = f" On hold {notice.hold}: {notice.reason}." if notice else ""
    return ActResult(
        (),
        f"{tool.what.capitalize()} {code} side {tool.side}, {tool.matrix}, {status}{mounted}, "
        f"{counted(tool.life, 'stroke')}.{held}",
    )


ACTS = StationActs({form.word: form for form in FORMS}, _default)
