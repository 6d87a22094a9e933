"""`runout contain --totals`: how many discs, where and who has them, and nothing else."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from runout import open_ledger
from tracelink.cli.common.progress import seconds_used
from tracelink.cli.common.say import print_report
from tracelink.report.format.render import render
from tracelink.report.scope.totals_text import COLUMNS, rows, text

if TYPE_CHECKING:
    from runout import ContainmentQuery, ScopeTotals


def tell_totals(place: str, query: ContainmentQuery, fmt: str) -> int:
    """Print the totals of a question; returns the exit code.

    Args:
        place: the ledger.
        query: the question.
        fmt: table, json or csv.
    """
    with (
        open_ledger(place, read_only=True) as ledger,
        seconds_used(query.seconds, "Seconds used at most") as watch,
    ):
        found = ledger.scopes.totals(query, progress=watch)
    print_report(_printed(found, fmt), fmt)
    return 1 if found.certain or found.possible or found.suspects else 0


def _printed(found: ScopeTotals, fmt: str) -> str:
    if fmt == "csv":
        return render(rows(found), COLUMNS, fmt)
    if fmt == "json":
        return json.dumps(found.to_json(), ensure_ascii=True, indent=2) + "\n"
    return text(found)
