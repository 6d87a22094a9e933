"""`runout case summary`: a case for an authority, in the words of the plant's template."""

import json
from pathlib import Path

import click

from runout import open_ledger
from tracelink.cli.case.opts import items_given
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.report.case.notice_items import AUTHORITY
from tracelink.report.case.summary_columns import SUMMARY_COLUMNS
from tracelink.report.format.render import render


@click.command(
    epilog="Example: runout case summary Q000001Z --item risk='none to people: wrong sound' --template authority.txt"
)
@click.argument("case")
@click.option(
    "--template",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="The plant's own wording (Jinja2 text) in place of the program's.",
)
@click.option("--item", "items", metavar="NAME=TEXT", multiple=True, help="What a person says; see --items.")
@click.option("--items", "list_items", is_flag=True, help="Only list the items and their sources.")
@click.option("--at", metavar="TIME", help="When it is made, if not now (RFC 3339 with offset).")
@format_option
@click.pass_context
def summary(
    ctx: click.Context,
    /,
    case: str,
    template: Path | None,
    items: tuple[str, ...],
    list_items: bool,
    at: str | None,
    fmt: str,
) -> None:
    """Print a summary of CASE for an authority: product and codes, reason, amounts made, shipped and recovered, dates,
    who was told when, and the hours since the first information.

    The records are asked as they are now; nothing is recorded or sent. The list is that of 21 CFR 7.46(a) and 7.53(b), a
    model for a plant that presses records. What the records cannot know is an item that a person gives. CSV has one line
    per consignee.

    Exit codes: 0 all items were given, 1 there are gaps.
    """  # noqa: D205  click shows the first lines as one
    if list_items:
        for item in AUTHORITY:
            say(f"{item.name}: {item.asks} ({item.source})")
        return
    with open_ledger(ctx.obj, read_only=True) as ledger:
        made = ledger.notices.summarise(case, items=items_given(items), at=at, template=template)
    if fmt == "json":
        click.echo(json.dumps(made.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(made.to_dict()["consignees"], SUMMARY_COLUMNS, fmt), nl=False)
    else:
        say(made.text.rstrip("\n"))
    if made.gaps:
        say(f"Not given: {', '.join(made.gaps)}.", err=True)
    ctx.exit(1 if made.gaps else 0)
