"""`runout results`: what the lab measured of the discs that a thing pressed."""

import json

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.report.format.render import render
from tracelink.report.pages.results_text import COLUMNS, SCREEN, on_screen, rows, sentences


@click.command(epilog="Example: runout results L004707P --test noise")
@click.argument("subject", metavar="CODE")
@click.option("--test", metavar="NAME", help="Only of this lab test, such as noise.")
@format_option
@click.pass_context
def results(ctx: click.Context, subject: str, test: str | None, fmt: str) -> None:
    """List what was measured of the discs that a tool or press made, or of a lot or sample.

    Values come in the order in which the discs were pressed. A mother, father or master stands for all stampers
    grown from it.

    Exit codes: 0 no value is outside the limit that held, 1 otherwise.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        answer = ledger.lab.results(subject, test)
    if fmt == "json":
        click.echo(json.dumps(answer.to_dict(), ensure_ascii=True, indent=2))
    else:
        table, columns = (
            (on_screen(answer.results), SCREEN) if fmt == "table" else (rows(answer.results), COLUMNS)
        )
        click.echo(render(table, columns, fmt), nl=False)
    if fmt == "table":
        seq, digest = answer.head
        told = [*sentences(answer), f"Records up to entry {seq} ({digest[:16]}...)."]
        print_report("\n".join(told) + "\n", fmt)
    ctx.exit(1 if answer.outside else 0)
