"""`runout audit` and `runout rebuild`: is the journal whole, and are the tables what it says?"""

import click
from sqlalchemy import insert, select

from tracelink.cli.options import format_option
from tracelink.cli.progress import progress
from tracelink.report.tables import Cell, Column, render
from tracelink.store import journal
from tracelink.store import rebuild as rebuilding
from tracelink.store.engine import ledger_url, open_engine
from tracelink.store.ledger import Ledger
from tracelink.store.schema import upgrade
from tracelink.store.tables import spool


@click.group()
def audit() -> None:
    """Verify the journal and the tables."""


@audit.command(epilog="Example: runout audit verify")
@format_option
@click.pass_context
def verify(ctx: click.Context, fmt: str) -> None:
    r"""Check every entry against the one before, and every table against a replay.

    What this can show: that an entry, its raw scans or a table row was changed, and which. What it cannot:
    that the tail of the journal was rewritten or cut off, unless an earlier head is kept elsewhere.

    \b
    Exit codes: 0 journal and tables agree, 3 they do not; the first faulty entry or the rows are named.
    """
    ledger = Ledger.open(ctx.obj, read_only=True)
    fresh = open_engine(ledger_url("sqlite://"))
    upgrade(fresh)
    with ledger.reading() as live, fresh.begin() as target:
        spooled = [dict(row) for row in live.execute(select(spool)).mappings()]
        total = journal.head(live).seq
        with progress(total, "Verifying") as bar:
            head = rebuilding.replay(target, journal.rows(live), spooled, lambda _seq: bar.update(1))
        if spooled:
            target.execute(insert(spool), spooled)
        found = rebuilding.differences(live, target)
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
