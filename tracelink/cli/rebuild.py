"""`runout rebuild`: make the tables anew from the journal."""

import click

from runout import open_ledger
from tracelink.cli.common.progress import progress
from tracelink.ledger.count_words import counted


@click.command(epilog="Example: runout rebuild")
@click.pass_obj
def rebuild(place: str) -> None:
    """Make every table anew from the journal, in one transaction.

    The journal and the scans that are not sealed yet stay as they are. Stations may not book meanwhile.
    """
    with open_ledger(place) as ledger, progress(ledger.head[0], "Rebuilding") as bar:
        entries, head = ledger.upkeep.rebuild(lambda _seq: bar.update(1))
    click.echo(f"Tables are rebuilt from {counted(entries, 'entry', 'entries')}. Head {head}")
