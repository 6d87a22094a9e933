"""`runout init` and `runout plan`: what a ledger must know before the first scan."""

import tomllib
from pathlib import Path
from typing import Any

import click

from tracelink.cli.common.opened import opened
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Stamp
from tracelink.ledger.plantfile import read_plant_file
from tracelink.store.database.engine import plant_file_sentences
from tracelink.store.journal.checkpoints import log_name
from tracelink.store.journal.keys import key_place, make_key, refuse_existing_key
from tracelink.store.ledger import Ledger, local_now, utc_now
from tracelink.store.stations.booking import Booking


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
    bodies = list(read_plant_file(_parsed(plant_file), new_ledger=True))
    file = key_place(place, key_file)
    ledger = click.get_current_context().with_resource(Ledger.create(place))
    try:
        refuse_existing_key(file)
        with ledger.writing() as booking:
            _record(booking, bodies)
    except BaseException:
        ledger.discard_empty()
        raise
    head = ledger.head()
    click.echo(f"Ledger {place} is ready: {head.seq} entries. Head {head.hash}")
    click.echo("Keep that head elsewhere: with it anybody can show later that the journal was not rewritten.")
    with ledger.reading() as conn:
        name = log_name(conn)
    verifier = make_key(file, name)
    click.echo(
        f"Checkpoints are signed with {file}, which only its owner may read. Its public half: {verifier}"
    )


@click.command(epilog="Example: runout plan new-orders.toml")
@click.argument("plant_file", metavar="FILE")
@click.pass_obj
def plan(place: str, plant_file: str) -> None:
    """Add products, lots, materials, sleeves, label numbers, people or orders from FILE.

    All of the file is taken, or nothing of it.
    """
    bodies = list(read_plant_file(_parsed(plant_file), new_ledger=False))
    with opened(place).writing() as booking:
        _record(booking, bodies)
    click.echo(f"{counted(len(bodies), 'entry', 'entries')} added.")


def _record(booking: Booking, bodies: list[Any]) -> None:
    for body in bodies:
        with plant_file_sentences(body):
            booking.record(body, Stamp(local_now(), utc_now()))


def _parsed(file: str) -> dict[str, Any]:
    try:
        # Some editors begin a file with a byte order mark.
        return tomllib.loads(Path(file).read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError as problem:
        raise UsageError(
            f"plant file {file} is not UTF-8 text: byte {problem.start} cannot be read"
        ) from None
    except OSError as problem:
        raise UsageError(f"plant file {file} cannot be read: {problem.strerror}") from None
    except tomllib.TOMLDecodeError as problem:
        raise UsageError(f"plant file {file} is not TOML: {problem}") from None
