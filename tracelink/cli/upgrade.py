"""`runout upgrade`: bring an older ledger to the schema of this program."""

import click

from runout import upgrade_ledger


@click.command(epilog="Example: runout upgrade")
@click.pass_obj
def upgrade(place: str) -> None:
    """Bring an older ledger to the schema of this program, and make its tables anew from the journal.

    A file is copied first, and the copy compared with it entry by entry; of a server make a backup with the older program.
    What entries say and their hashes are never touched.
    """
    schema = upgrade_ledger(place)
    already = schema.before == schema.after
    click.echo(
        f"{place} has schema {schema.after}" + (" already." if already else f"; it was {schema.before}.")
    )
    if schema.kept is not None:
        click.echo(f"As it was before: {schema.kept}")
