"""How every station refuses what may not be used: what is on hold, a void label, a tool that is retired."""

from tracelink.station.common.forms import ScanContext
from tracelink.station.common.station_facts import HoldNotice, Tool
from tracelink.station.sentences import common_sentences
from tracelink.station.sentences.thing_names import Thing


def refuse_held(
    notice: HoldNotice | None, thing: Thing, code: str, then: str = common_sentences.PUT_IT_ASIDE
) -> None:
    """Refuse a thing on hold, naming the hold and, if another thing is what is held, that one.

    Args:
        notice: the hold, None if there is none.
        thing: what it is.
        code: its code.
        then: what to do with it now.
    """
    if notice is not None:
        raise common_sentences.thing_on_hold(thing, code, notice, then)


def refuse_void(thing: Thing, code: str, context: ScanContext, subject: str | None = None) -> None:
    """Refuse a label that was voided or came back unused; `subject` is how the ledger names it, if not by its code."""
    why = context.queries.void_label(subject or code)
    if why is not None:
        raise common_sentences.void(thing, code, why, subject or code)


def usable_tool(code: str, context: ScanContext) -> Tool:
    """Return a tool that is registered, not retired and not held."""
    tool = context.queries.tool(code)
    if tool is None:
        raise common_sentences.unknown(Thing.TOOL_TAG, code)
    thing = Thing[tool.what.upper()]
    if tool.retired:
        raise common_sentences.tool_retired(thing, code)
    refuse_held(context.queries.hold_on(code), thing, code)
    return tool
