"""`runout upgrade`: bring an older ledger to the schema of this program."""

import click

from tracelink.store.ledger import upgrade_ledger


@click.command(epilog="Example: runout upgrade")
@click.pass_obj
def upgrade(place: str) -> None:
    """Bring an older ledger to the schema of this program, and make its tables anew from the journal.

    Make a backup with the older program first. Entries are never touched.
    """
    before, after = upgrade_ledger(place)
    click.echo(f"{place} has schema {after}" + (" already." if before == after else f"; it was {before}."))
