"""`runout search`: find a thing by whatever is known of it."""

import json

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.report.format.render import render
from tracelink.report.pages.search_document import COLUMNS


@click.command(epilog="Example: runout search comet      runout search 2025-03-10..2025-03-12 --format csv")
@click.argument("text", nargs=-1, required=True)
@click.option(
    "--most",
    type=click.IntRange(1, 10_000),
    metavar="N",
    default=20,
    show_default=True,
    help="How many of each kind to show.",
)
@format_option
@click.pass_obj
def search(place: str, text: tuple[str, ...], most: int, fmt: str) -> None:
    """Find things by a code or part of it, title, catalogue number, matrix text, customer, order, defect, person or day.

    TEXT may also be the last digits of an SSCC, the number of a sleeve, a raw scan, a day such as 2025-03-10, or a
    period such as 2025-03-10..2025-03-12. Upper and lower case are the same; in codes, blanks and hyphens do not count.
    """
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.search(" ".join(text), most=most)
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
        return
    rows = found.to_dict()["hits"]
    if rows or fmt != "table":
        click.echo(render(rows, COLUMNS, fmt), nl=False)
    if fmt == "table" and not rows:
        say(f"Nothing in the records is known by {found.text!r}.")
    if found.left_out:
        say(f"{found.left_out} more were found and are not shown: say more of it, or give --most.", err=True)
