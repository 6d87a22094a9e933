"""`runout audit verify`: is the journal whole, and are the tables what it says?"""

import re

import click
from sqlalchemy import Connection

from tracelink.cli.options import format_option
from tracelink.cli.progress import progress
from tracelink.errors import UsageError
from tracelink.ledger.chain import Head
from tracelink.report.tables import Cell, Column, render
from tracelink.store import journal
from tracelink.store.ledger import Ledger
from tracelink.store.verifying import verify_ledger


@click.command(epilog="Example: runout audit verify --kept 54:HEAD")
@click.option(
    "--kept",
    metavar="ENTRIES:HEAD",
    multiple=True,
    help="A head kept from earlier, such as 54:e87d63ad...; may be given several times.",
)
@format_option
@click.pass_context
def verify(ctx: click.Context, fmt: str, kept: tuple[str, ...]) -> None:
    """Check every entry against the one before, and every table against a replay.

    What this can show: that an entry, its raw scans or a table row was changed, and which. What it cannot:
    that the tail of the journal was rewritten or cut off, unless an earlier head is kept elsewhere and given
    with --kept.

    \b
    Exit codes: 0 journal and tables agree, 3 they do not; the first faulty entry or the rows are named.
    """  # noqa: D301  click looks for the character
    heads = [_kept_head(given) for given in kept]
    ledger = Ledger.open(ctx.obj, read_only=True)
    with ledger.reading() as live, progress(journal.head(live).seq, "Verifying") as bar:
        head, found = verify_ledger(live, lambda _seq: bar.update(1))
        found = [*(told for each in heads if (told := _rewritten(live, each))), *found]
    rows: list[dict[str, Cell]] = [{"entries": head.seq, "head": head.hash, "differences": len(found)}]
    columns = [
        Column("entries", "entries", number=True),
        Column("head", "head"),
        Column("differences", "differences", number=True),
    ]
    click.echo(render(rows, columns, fmt), nl=False)
    for sentence in found:
        click.echo(sentence, err=True)
    ctx.exit(3 if found else 0)


def _kept_head(given: str) -> Head:
    match = re.fullmatch(r"([1-9][0-9]{0,15}):([0-9a-f]{64})", given.strip().lower())
    if match is None:
        raise UsageError(
            f"--kept {given!r}: expected the number of entries, a colon and the 64 digits of the head"
        )
    return Head(int(match[1]), match[2])


def _rewritten(live: Connection, kept: Head) -> str:
    """Say how the journal departs from a head that was kept; empty if it goes on from there."""
    row = next(journal.rows(live, kept.seq - 1), None)
    if row is None:
        return f"the journal has no entry {kept.seq}, but a head of it was kept: its tail was cut off, or it is another ledger"
    if row.hash != kept.hash:
        return (
            f"entry {kept.seq} is {row.hash}, the head kept says {kept.hash}: the journal was written anew from that "
            "entry or an earlier one on, or it is another ledger"
        )
    return ""
