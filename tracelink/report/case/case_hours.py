"""The clock of a case that somebody marked as a safety matter."""

from __future__ import annotations

from datetime import datetime

from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.ledger.time_words import moment


def case_clock(facts: CaseFacts, now: datetime) -> str | None:
    """Return a sentence on the clock of a case; None for one that is closed, or a commercial withdrawal.

    The law counts from the first information, which a person knows and the records do not.

    Args:
        facts: the case.
        now: with its offset.
    """
    if not facts.case.safety or facts.case.closed_seq is not None:
        return None
    hours = (now - datetime.fromisoformat(facts.opened_at)).total_seconds() / 3600
    return (
        f"Marked as a safety matter {hours:.1f} h ago ({moment(facts.opened_at)}). 16 CFR 1115.14: report within 24 hours of "
        "reportable information; the clock begins with the first information, which may be older (the hours are "
        "not checked against the original text). The responsible person decides."
    )
