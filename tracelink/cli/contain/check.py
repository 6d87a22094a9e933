"""`runout contain --check FILE`: every certificate of a scope, checked against this ledger's movements."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from runout import CheckVerdict, open_ledger
from tracelink.cli.common.options import format_option
from tracelink.genealogy.containment.query import SECONDS, parse_seconds
from tracelink.ledger.count_words import counted
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from runout import CheckedScope

_COLUMNS = (
    Column("kind", "kind"),
    Column("code", "bound of"),
    Column("verdict", "verdict"),
    Column("why", "why", Kind.TEXT),
)


@click.command(name="contain")
@click.option("--check", "file", metavar="FILE", required=True, help="A scope written with --format json.")
@click.option(
    "--seconds",
    metavar="N",
    help=f"Time for the bounds, {SECONDS} unless given; those left then are not looked at.",
)
@format_option
@click.pass_context
def contain_check(ctx: click.Context, file: str, seconds: str | None, fmt: str) -> None:
    """Check every bound of a written scope against the movements, without solving anything again.

    Exit codes: 0 every bound confirmed, 1 some only in part or not looked at, 2 the file is not a scope,
    3 something does not verify.
    """
    given = parse_seconds(seconds)
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.scopes.check(file, seconds=given)
    rows = found.to_dict()
    if fmt == "table":
        rows = [row for row in rows if row["verdict"] != CheckVerdict.CONFIRMED.value]
    if rows or fmt != "table":
        click.echo(render(rows, _COLUMNS, fmt), nl=False)
    click.echo(_summary(file, found), err=fmt != "table")
    if found.changed:
        click.echo(f"{file}: {found.changed}", err=True)
    ctx.exit(_exit_code(found))


def _summary(file: str, found: CheckedScope) -> str:
    return (
        f"{file}: {found.count(CheckVerdict.CONFIRMED)} of {len(found.checks)} bounds confirmed by the movements up "
        f"to entry {found.head}, {found.count(CheckVerdict.ONE_SIDED)} in part, "
        f"{found.count(CheckVerdict.FAILS)} not.\n{_left_out(found)}{_lists(found)}\n"
        "Taken from the file and not checked: the question, tiers, judged samples, chances, next tests, holds, "
        "every sentence, and the printed document."
    )


def _left_out(found: CheckedScope) -> str:
    left = found.count(CheckVerdict.NOT_LOOKED_AT)
    if not left:
        return ""
    return f"There was no time left to look at {counted(left, 'bound')}: --seconds gives the check more.\n"


def _lists(found: CheckedScope) -> str:
    if not found.listed:
        return (
            "Also taken from the file, because the journal has gone on since: which containers there were, what "
            "they stood in, their status, shipments, orders and consignees."
        )
    if found.differences:
        return f"{counted(len(found.differences), 'difference')} between its lists and the records."
    return "Its containers, what they stand in, their status, shipments, orders and consignees are those of the records."


def _exit_code(found: CheckedScope) -> int:
    if not found.verifies:
        return 3
    return 1 if found.count(CheckVerdict.ONE_SIDED) or found.count(CheckVerdict.NOT_LOOKED_AT) else 0
