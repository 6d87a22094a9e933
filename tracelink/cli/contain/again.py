"""`runout contain --again CASE`: the question of a case, asked of the ledger as it is now; nothing is written."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from runout import open_ledger
from tracelink.cli.common.say import print_report
from tracelink.report.case.difference import DIFFERENCE_COLUMNS, difference_rows, difference_text
from tracelink.report.format.render import render

if TYPE_CHECKING:
    from runout import ScopeChange


def ask_again(place: str, case: str, seconds: float, fmt: str) -> int:
    """Print how the scope differs from the newest that the case keeps; returns the exit code.

    Args:
        place: the ledger.
        case: the case's code.
        seconds: time for the question.
        fmt: table, json or csv.
    """
    with open_ledger(place, read_only=True) as ledger:
        change = ledger.scopes.again(case, seconds=seconds)
    print_report(_printed(change, fmt), fmt)
    return 1 if change.found.differs else 0


def _printed(change: ScopeChange, fmt: str) -> str:
    if fmt == "csv":
        return render(difference_rows(change.found), DIFFERENCE_COLUMNS, fmt)
    if fmt == "json":
        return json.dumps(change.to_dict(), ensure_ascii=True, indent=2) + "\n"
    before = f"scope {change.scope} of case {change.case}"
    return difference_text(change.found, before, "the records now", change.evidence_since)
