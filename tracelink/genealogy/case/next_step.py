"""The command that follows from how far a case is, for a person who decides so."""

from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import CaseStatus


def next_step(facts: CaseFacts, status: CaseStatus, *, is_free: bool) -> str:
    """Return the next command of a case; empty if it is closed.

    Args:
        facts: the case.
        status: how far it is.
        is_free: whether suspect discs in the plant could still be packed or shipped.
    """
    case, lines = facts.case.code, status.lines
    if facts.case.closed_seq is not None:
        return ""
    if is_free:
        return f"runout case holds {case} --by BADGE --reason TEXT"
    if any(line.notice is None for line in lines):
        return f"runout case notice {case} --all --by BADGE"
    if any(line.reply is None for line in lines):
        return f"runout case reply {case} --consignee NAME --quantity-on-hand N --by BADGE"
    if lines and status.draw is None:
        return f"runout case level {case} LEVEL --by BADGE"
    if any(line.to_check and line.check is None for line in lines):
        return f"runout case check {case} --consignee NAME --result RESULT --by BADGE"
    if facts.recorded.root_cause is None:
        return f"runout case root-cause {case} --text TEXT --by BADGE"
    return f"runout case close {case} --by BADGE --with BADGE --reason TEXT"
