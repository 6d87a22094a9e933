"""`runout upgrade`: bring an older ledger to the schema of this program."""

import click

from runout import upgrade_ledger


@click.command(epilog="Example: runout upgrade")
@click.pass_obj
def upgrade(place: str) -> None:
    """Bring an older ledger to the schema of this program, and make its tables anew from the journal.

    Make a backup with the older program first. Entries are never touched.
    """
    schema = upgrade_ledger(place)
    already = schema.before == schema.after
    click.echo(
        f"{place} has schema {schema.after}" + (" already." if already else f"; it was {schema.before}.")
    )
