"""A scope, written: for the screen, for other programs, as a page."""

import json
from pathlib import Path

from tracelink.cli.containask import Question, judged
from tracelink.cli.trace import write_text
from tracelink.genealogy.contain import Scope, holds_for
from tracelink.report.scope_text import CONTAINER_COLUMNS, container_rows, scope_text
from tracelink.report.tables import render
from tracelink.store.holds import holds_by_thing
from tracelink.store.ledger import Ledger, local_now
from tracelink.store.records import SqlRecords


def printed(scope: Scope, fmt: str) -> str:
    """Return the scope as table, json or csv."""
    if fmt == "json":
        data = scope.to_json()
        data["holds"] = [
            {"subject": item.subject, "first": item.first, "last": item.last} for item in holds_for(scope)
        ]
        return json.dumps(data, ensure_ascii=False, indent=2) + "\n"
    if fmt == "csv":
        return render(container_rows(scope), CONTAINER_COLUMNS, fmt)
    return scope_text(scope)


def write_page(ledger: Ledger, asked: Question, scope: Scope, file: Path) -> None:
    """Write the scope as a page that opens anywhere."""
    from tracelink.report.page import scope_page  # noqa: PLC0415  made only when asked for

    with ledger.reading() as conn:
        records = SqlRecords(conn)
        codes = [*(held.code for held in scope.containers), *(group.code for group in scope.groups)]
        page = scope_page(
            records,
            scope,
            at=local_now(),
            evidence=judged(records, asked, scope),
            holds=holds_by_thing(conn, codes),
        )
    write_text(file, page)
