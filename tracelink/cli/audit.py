"""`runout audit` and `runout rebuild`: is the journal whole, and are the tables what it says?"""

import click

from tracelink.cli.options import format_option
from tracelink.cli.progress import progress
from tracelink.report.tables import Cell, Column, render
from tracelink.store import journal
from tracelink.store import rebuild as rebuilding
from tracelink.store.ledger import Ledger
from tracelink.store.verifying import verify_ledger


@click.group()
def audit() -> None:
    """Verify the journal and the tables."""


@audit.command(epilog="Example: runout audit verify")
@format_option
@click.pass_context
def verify(ctx: click.Context, fmt: str) -> None:
    """Check every entry against the one before, and every table against a replay.

    What this can show: that an entry, its raw scans or a table row was changed, and which. What it cannot:
    that the tail of the journal was rewritten or cut off, unless an earlier head is kept elsewhere.

    \b
    Exit codes: 0 journal and tables agree, 3 they do not; the first faulty entry or the rows are named.
    """  # noqa: D301  click looks for the character
    ledger = Ledger.open(ctx.obj, read_only=True)
    with ledger.reading() as live, progress(journal.head(live).seq, "Verifying") as bar:
        head, found = verify_ledger(live, lambda _seq: bar.update(1))
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


@click.command(epilog="Example: runout rebuild")
@click.pass_obj
def rebuild(place: str) -> None:
    """Make every table anew from the journal, in one transaction.

    The journal and the scans that are not sealed yet stay as they are. Stations may not book meanwhile.
    """
    ledger = Ledger.open(place)
    total = ledger.head().seq
    with ledger.maintaining() as conn, progress(total, "Rebuilding") as bar:
        head = rebuilding.rebuild(conn, lambda _seq: bar.update(1))
    click.echo(f"Tables are rebuilt from {head.seq} entries. Head {head.hash}")
