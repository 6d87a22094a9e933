"""How every station refuses what may not be used: what is on hold, a void label, a tool that is retired."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import HoldNotice, Tool


def refuse_held(notice: HoldNotice | None, name: str, code: str, then: str = "Put it aside.") -> None:
    """Refuse a thing on hold, naming the hold and, if another thing is what is held, that one.

    Args:
        notice: the hold, None if there is none.
        name: the thing as the floor calls it, with its code.
        code: its code.
        then: what to do with it now.
    """
    if notice is None:
        return
    raise Refused(
        FindingCode.ON_HOLD,
        f"{name} is {hold_words(notice, code)}. {then}",
        subject=code,
    )


def hold_words(notice: HoldNotice, code: str) -> str:
    """Say that a thing is on hold, why, by which hold, and on what if that is another thing."""
    on = "" if notice.subject == code else f" on {notice.subject}"
    return f"on hold: {notice.reason} (hold {notice.hold}{on})"


def refuse_void(subject: str, name: str, context: ScanContext) -> None:
    """Refuse a label that was voided or came back unused."""
    void = context.queries.void_label(subject)
    if void is not None:
        raise Refused(
            FindingCode.VOID_LABEL, f"{name} is void: {void}. Put it aside and take another.", subject=subject
        )


def usable_tool(code: str, context: ScanContext) -> Tool:
    """Return a tool that is registered, not retired and not held."""
    tool = context.queries.tool(code)
    if tool is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Tool tag {code} is not in the system.", subject=code)
    if tool.retired:
        raise Refused(
            FindingCode.TOOL_RETIRED,
            f"{tool.what.capitalize()} {code} is retired and may not be used.",
            subject=code,
        )
    refuse_held(context.queries.hold_on(code), f"{tool.what.capitalize()} {code}", code)
    return tool
