"""The containment that a chart proposes, as sentences."""

from __future__ import annotations

from tracelink.genealogy.charting.proposed_scope import Proposal
from tracelink.ledger.count_words import grouped
from tracelink.report.format.plain import command_of


def proposal_sentences(proposed: Proposal | None, subject: str, *, by_stroke: bool) -> list[str]:
    """Say which containment to ask for, where the fault begins, and which tests would narrow that.

    Args:
        proposed: what is proposed; None if nothing is.
        subject: of which the chart is.
        by_stroke: True if places are strokes of a tool's life, False if discs of a press.
    """
    if proposed is None:
        return []
    place = "stroke" if by_stroke else "disc"
    begins = (
        f"by {place} {proposed.by}, after what nobody can tell"
        if proposed.after is None
        else f"after {place} {proposed.after} and by {place} {proposed.by}"
    )
    said = [f"Discs are outside the limit: ask what {subject} touched. The fault begins {begins}."]
    if proposed.scattered:
        said.append("Discs within the limit follow one outside, so a good disc clears none before it.")
    said.append(f"To ask: {command_of(proposed.words)}")
    for test in proposed.tests:
        stroke = "any disc" if test.stroke is None else f"stroke {test.stroke}"
        said.append(
            f"To narrow it: test {stroke} of lot {test.lot}, in {test.place}; "
            f"{grouped(test.if_good)} discs stay possible if it is good, {grouped(test.if_bad)} if it is bad."
        )
    return said
