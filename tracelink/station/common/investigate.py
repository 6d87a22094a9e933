"""What follows when something that was counted differs: it is looked into, from the moment it is booked.

Source: 21 CFR 211.125(c) and 211.192 as models: a difference outside its limit is investigated, whether or not
the lot has left already. A count of pieces has no tolerance.
"""

from collections.abc import Iterable

from tracelink.ledger.kinds.balance import InvestigationOpened
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Act
from tracelink.station.sentences.counting_sentences import under_investigation


def investigated(
    differences: Iterable[tuple[str, int | None]], why: str, context: ScanContext
) -> tuple[tuple[Act, ...], str]:
    """Return the acts that open an investigation of each lot that has none, and what the person is told.

    Args:
        differences: lot and how many of its discs were not found, with sign; None where that is not known.
        why: what was counted and found.
        context: the ledger.
    """
    acts: list[Act] = []
    looked_into: list[str] = []
    for lot, difference in differences:
        if context.queries.investigation_about(lot) is None:
            acts.append(Act(InvestigationOpened(lot, difference), why))
        looked_into.append(lot)
    if not looked_into:
        return (), ""
    return tuple(acts), under_investigation(looked_into)
