"""`runout case list|show`: what was recorded of cases."""

import json

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.report.case.rows import (
    CASE_COLUMNS,
    HISTORY_COLUMNS,
    case_text,
    history_rows,
)
from tracelink.report.format.render import render


@click.command(name="list", epilog="Example: runout case list --format csv")
@format_option
@click.pass_context
def list_cases(ctx: click.Context, fmt: str) -> None:
    """List the containment cases, oldest first.

    Exit codes: 0 none is open, 1 some are open.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.cases.listed()
    click.echo(render(found.to_dict(), CASE_COLUMNS, fmt), nl=False)
    ctx.exit(1 if found.any_open else 0)


@click.command(epilog="Example: runout case show Q000001S")
@click.argument("case")
@format_option
@click.pass_obj
def show(place: str, case: str, fmt: str) -> None:
    """Show all that was recorded of CASE: question, scopes, holds, notices, replies, checks, and by whom.

    CSV has one line per entry; JSON has everything, with the tiers and containers of every scope.
    """
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.cases.history(case)
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(history_rows(found.entries), HISTORY_COLUMNS, fmt), nl=False)
    else:
        print_report(case_text(found.facts, found.entries), fmt)
