"""`runout upgrade`: bring an older ledger to the schema of this program."""

import click

from tracelink.store.ledger import upgrade_ledger


@click.command(epilog="Example: runout upgrade")
@click.pass_obj
def upgrade(place: str) -> None:
    """Bring an older ledger to the schema of this program, whole or not at all.

    Make a backup with the older program first. Entries are never touched. Let `runout rebuild` follow: it writes
    what stands in the tables as this program writes it.
    """
    before, after = upgrade_ledger(place)
    if before == after:
        click.echo(f"{place} has schema {after} already.")
        return
    # What an older program left in a table may lack a word that this one would write, and verifying names it.
    click.echo(
        f"{place} has schema {after}; it was {before}. Now run `runout rebuild`, then `runout audit verify`."
    )
