"""`runout contain --again CASE`: the question of a case, asked of the ledger as it is now; nothing is written."""

import json

from tracelink.cli.common.say import print_report
from tracelink.genealogy.case.compare_scopes import ScopeDifference, difference, summary_of
from tracelink.report.case.difference import (
    DIFFERENCE_COLUMNS,
    difference_json,
    difference_rows,
    difference_text,
)
from tracelink.report.format.render import render
from tracelink.services.containment import scope_of
from tracelink.store.ledger import read_ledger
from tracelink.store.office.cases import case_facts, evidence_since
from tracelink.store.records.sql_records import SqlRecords


def ask_again(place: str, case: str, fmt: str) -> int:
    """Print how the scope differs from the newest that the case keeps; returns the exit code.

    Args:
        place: the ledger.
        case: the case's code.
        fmt: table, json or csv.
    """
    with read_ledger(place) as conn:
        facts = case_facts(conn, case)
        before = facts.recorded.scopes[-1]
        now = summary_of(scope_of(SqlRecords(conn), facts.query))
        since = evidence_since(conn, before, now)
    found = difference(before, now)
    print_report(_printed(found, facts.case.code, len(facts.scope_entries), since, fmt), fmt)
    return 1 if found.differs else 0


def _printed(found: ScopeDifference, case: str, version: int, since: list[str], fmt: str) -> str:
    if fmt == "csv":
        return render(difference_rows(found), DIFFERENCE_COLUMNS, fmt)
    if fmt == "json":
        data = {"case": case, "scope": version, "evidence_since": since, **difference_json(found)}
        return json.dumps(data, ensure_ascii=True, indent=2) + "\n"
    return difference_text(found, f"scope {version} of case {case}", "the records now", since)
