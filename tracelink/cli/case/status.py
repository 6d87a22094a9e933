"""`runout case status|rules`: how far a case is, and the rules its list follows."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.files import report_file
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.printing.output import whole_file
from tracelink.report.case.case_hours import case_clock
from tracelink.report.case.document import status_document
from tracelink.report.case.safety_rules import RULE_COLUMNS, rule_rows, rules_text
from tracelink.report.case.status import STATUS_COLUMNS, status_rows, status_text
from tracelink.report.format.plain import harmless
from tracelink.report.format.render import render

if TYPE_CHECKING:
    from tracelink.report.format.document import Document


@click.command(epilog="Example: runout case status Q000001Z --format json")
@click.argument("case", required=False)
@format_option
@click.option("--html", metavar="FILE", help="Write it as a page that opens anywhere.")
@click.option("--pdf", metavar="FILE", help="Write the same as a PDF.")
@click.pass_context
def status(ctx: click.Context, case: str | None, fmt: str, html: str | None, pdf: str | None) -> None:
    """Show how far CASE is: told, answered, back, checked; and what could still be shipped, asked of the records now.

    CSV has one line per consignee.

    Exit codes: 0 no open point and nothing suspect free to ship, 1 there are some.
    """
    if case is None:
        raise UsageError(
            "case status needs the code of a case, such as Q000001Z: runout case list shows them"
        )
    page, sheets = report_file(html, ".html"), report_file(pdf, ".pdf")
    with open_ledger(ctx.obj, read_only=True) as ledger:
        progress = ledger.cases.progress(case)
    facts, now, found = progress.facts, progress.now, progress.in_plant
    at = local_now()
    clock = case_clock(facts, datetime.fromisoformat(at))
    if fmt == "json":
        click.echo(json.dumps(progress.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(status_rows(now), STATUS_COLUMNS, fmt), nl=False)
    else:
        print_report(harmless(status_text(facts, now, found, clock=clock)), fmt)
    if page is not None or sheets is not None:
        _write(status_document(facts, now, found, at=at, clock=clock), page, sheets)
    ctx.exit(1 if progress.is_open else 0)


@click.command(epilog="Example: runout case rules --format csv")
@format_option
def rules(fmt: str) -> None:
    """List the rules behind a case and a drill: which bind such a plant, which are models, which were checked.

    What was not checked against the original text must be read there before anybody relies on it. The program gives no
    legal advice; an authorised person decides, under the law that applies where the product was sold.
    """
    print_report(rules_text() if fmt == "table" else render(rule_rows(), RULE_COLUMNS, fmt), fmt)


def _write(document: Document, page: Path | None, sheets: Path | None) -> None:
    # Pages and PDFs load slowly: only when asked for.
    from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415
    from tracelink.report.format.page import document_page  # noqa: PLC0415

    if page is not None:
        _write_one(page, document_page(document).encode())
    if sheets is not None:
        _write_one(sheets, document_pdf(document))


def _write_one(file: Path, content: bytes) -> None:
    with whole_file(file, "The report") as part:
        part.write_bytes(content)
    click.echo(f"Wrote {file}", err=True)
