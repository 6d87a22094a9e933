"""What the tool room says: tags, sides and matrix numbers, what a tool is grown from."""

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import HoldNotice, Tool

A_NEW_TOOL_TAG = "a new tool tag"
A_TOOL_TAG = "a tool tag"
THE_SIDE = "the side: A or B"
SCAN_THE_NEW_TOOL_TAG = "Scan the new tool tag."
TYPE_THE_SIDE = 'Type " and then the side: A or B.'
TYPE_THE_MATRIX_NUMBER = 'Type " and then the matrix number as it is cut.'
SCAN_THE_PARENT = "Scan the tool it was grown from."
SCAN_THE_TOOL_TAG = "Scan the tool tag."
TYPE_WHY_RETIRED = 'Type " and then why it is retired.'
AN_ACTION_CARD_OR_TOOL_TAG = "an action card or a tool tag"


def tag_in_use(code: str) -> Refused:
    """The tag of a new tool is on another one."""
    return Refused(
        FindingCode.TAG_IN_USE,
        f"Tool tag {code} is in use already. Take a new tag.",
        subject=code,
        expected="a new tag",
        found="a tag in use",
    )


def matrix_of_no_product(matrix: str) -> Refused:
    """No product has a disc with this matrix number."""
    return Refused(
        FindingCode.WRONG_MATRIX,
        f"No product has matrix number {matrix}. Read it again; if it is right, have the product planned first.",
        subject=matrix,
        expected="the matrix number of a planned product",
        found=matrix,
    )


def wrong_side(matrix: str, side: str, typed: str) -> Refused:
    """A matrix number was cut on the other side, by the system."""
    return Refused(
        FindingCode.WRONG_SIDE,
        f"Matrix number {matrix} belongs to side {side}; you typed side {typed}. Check the lacquer, or "
        "scan CANCEL.",
        subject=matrix,
        expected=f"side {side}",
        found=f"side {typed}",
    )


def cannot_grow(what: str, code: str) -> Refused:
    """Nothing is grown from this kind of tool."""
    return Refused(
        FindingCode.CANNOT_GROW, f"Nothing is grown from a {what}, and {code} is one.", subject=code
    )


def registered(what: str, tool: str, side: str, matrix: str) -> str:
    """Say that a master is in the system."""
    return f"{what.capitalize()} {tool} side {side}, {matrix}."


def grown(what: str, tool: str, parent_what: str, parent: str) -> str:
    """Say that a tool was grown from another."""
    return f"{what.capitalize()} {tool} grown from {parent_what} {parent}."


def tool_mounted(tool: str, press: str) -> Refused:
    """A tool that is on a press is to be retired."""
    return Refused(
        FindingCode.TOOL_MOUNTED,
        f"{tool} is on press {press}. Scan CHANGE or STOP there first.",
        subject=tool,
        found=press,
    )


def retired(tool: str) -> str:
    """Say that a tool is at the end of its life."""
    return f"{tool} is retired."


def tag_is_new(code: str) -> str:
    """Say that no tool has this tag yet."""
    return f"Tag {code} is new."


def about_tool(tool: Tool, press: str | None, notice: HoldNotice | None) -> str:
    """Say what the system knows of a tool: on which press it is, and whether it is on hold."""
    status = "retired" if tool.retired else "in use"
    mounted = f", mounted on press {press}" if press else ""
    held = f" On hold {notice.hold}: {notice.reason}." if notice else ""
    return (
        f"{tool.what.capitalize()} {tool.code} side {tool.side}, {tool.matrix}, {status}{mounted}, "
        f"{counted(tool.life, 'stroke')}.{held}"
    )
