"""The containment that a chart proposes, as sentences."""

from __future__ import annotations

from tracelink.genealogy.charting.proposed_scope import Proposal
from tracelink.ledger.count_words import grouped
from tracelink.report.format.plain import command_of


def proposal_sentences(proposed: Proposal | None, subject: str) -> list[str]:
    """Say which containment to ask for, where the fault begins, and which tests would narrow that."""
    if proposed is None:
        return []
    begins = (
        f"by {grouped(proposed.by)}, after what nobody can tell"
        if proposed.after is None
        else f"after {grouped(proposed.after)} and by {grouped(proposed.by)}"
    )
    said = [f"Discs are outside the limit: ask what {subject} touched. The fault begins {begins}."]
    if proposed.scattered:
        said.append("Discs within the limit follow one outside, so a good disc clears none before it.")
    said.append(f"To ask: {command_of(proposed.words)}")
    for test in proposed.tests:
        stroke = "any disc" if test.stroke is None else f"stroke {grouped(test.stroke)}"
        said.append(
            f"To narrow it: test {stroke} of lot {test.lot}, in {test.place}; "
            f"{grouped(test.if_good)} discs stay possible if it is good, {grouped(test.if_bad)} if it is bad."
        )
    return said
