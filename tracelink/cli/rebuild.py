"""`runout rebuild`: make the tables anew from the journal."""

import click

from tracelink.cli.common.opened import opened
from tracelink.cli.common.progress import progress
from tracelink.store.journal import rebuild as rebuilding


@click.command(epilog="Example: runout rebuild")
@click.pass_obj
def rebuild(place: str) -> None:
    """Make every table anew from the journal, in one transaction.

    The journal and the scans that are not sealed yet stay as they are. Stations may not book meanwhile.
    """
    ledger = opened(place)
    total = ledger.head().seq
    with ledger.transaction() as conn, progress(total, "Rebuilding") as bar:
        head = rebuilding.rebuild(conn, lambda _seq: bar.update(1))
    click.echo(f"Tables are rebuilt from {head.seq} entries. Head {head.hash}")
