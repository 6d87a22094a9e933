"""`runout audit rules`: which clauses of record keeping the ledger serves, which bind, and what is not kept."""

import click

from runout import open_ledger
from tracelink.cli.common.files import report_file
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.printing.output import whole_file
from tracelink.report.format.render import render
from tracelink.report.pages.rule_table import PARTS, RULES, Force
from tracelink.report.pages.rules_page import COLUMNS, rule_rows, rules_document, rules_text


@click.command(epilog="Example: runout audit rules --part electronic-records --html rules.html")
@click.option("--part", type=click.Choice(list(PARTS)), help="Only this part.")
@click.option("--binding", is_flag=True, help="Only clauses that bind by certificate or contract.")
@format_option
@click.option("--html", metavar="FILE", help="Write them as a page that opens anywhere.")
@click.pass_obj
def rules(place: str, part: str | None, binding: bool, fmt: str, html: str | None) -> None:
    """Show what the ledger keeps for each clause of common record-keeping rules, and what it does not.

    Each clause says whether it binds such a plant or is a model from a stricter trade, and whether it was
    checked against the original text. Entries are those of this ledger.
    """
    page = report_file(html, ".html")
    chosen = [
        rule for rule in RULES if part in (None, rule.part) and (not binding or rule.force is Force.CONTRACT)
    ]
    with open_ledger(place, read_only=True) as ledger:
        held = ledger.journal.counts()
    counts = held.kinds
    if fmt == "table":
        print_report(rules_text(chosen, counts), fmt)
    else:
        click.echo(render(rule_rows(chosen, counts), COLUMNS, fmt), nl=False)
    if page is not None:
        from tracelink.report.format.page import document_page  # noqa: PLC0415  made only when asked for

        made = document_page(rules_document(chosen, counts, held.head, local_now()))
        with whole_file(page, "The page") as part_file:
            part_file.write_bytes(made.encode())
        click.echo(f"Wrote {page}", err=True)
