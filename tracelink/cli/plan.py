"""`runout init` and `runout plan`: what a ledger must know before the first scan."""

import click

from runout import create_ledger, make_signing_key, open_ledger
from tracelink.ledger.count_words import counted


@click.command(epilog="Example: runout init --plant demo/out/plant.toml")
@click.option("--plant", "plant_file", required=True, metavar="FILE", help="The plant file (TOML).")
@click.option(
    "--key", "key_file", metavar="FILE", help="Where to make the signing key; beside the ledger unless said."
)
@click.pass_obj
def init(place: str, plant_file: str, key_file: str | None) -> None:
    """Make a new ledger from a plant file.

    The file names the plant, its people, stations, products, lots, materials, sleeves, label numbers and
    orders. A ledger that exists is never overwritten. The key that signs its checkpoints is made beside it, in a
    file that only its owner may read; for a ledger on a database server name the file with --key.
    """
    with create_ledger(place, plant_file, key_file=key_file) as ledger:
        entries, head = ledger.head
    click.echo(f"Ledger {place} is ready: {entries} entries. Head {head}")
    click.echo("Keep that head elsewhere: with it anybody can show later that the journal was not rewritten.")
    key = make_signing_key(place, key_file=key_file)
    click.echo(
        f"Checkpoints are signed with {key.file}, which only its owner may read. Its public half: {key.public}"
    )


@click.command(epilog="Example: runout plan new-orders.toml")
@click.argument("plant_file", metavar="FILE")
@click.pass_obj
def plan(place: str, plant_file: str) -> None:
    """Add products, lots, materials, sleeves, label numbers, people or orders from FILE.

    All of the file is taken, or nothing of it.
    """
    with open_ledger(place) as ledger:
        added = ledger.plan(plant_file)
    click.echo(f"{counted(added, 'entry', 'entries')} added.")
