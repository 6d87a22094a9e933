"""`runout init` and `runout plan`: what a ledger must know before the first scan."""

import click

from runout import create_ledger, make_signing_key, open_ledger
from tracelink.cli.common.acting import SECOND_PIN_VARIABLE, badge_of
from tracelink.cli.common.options import format_option
from tracelink.errors import without_password
from tracelink.ledger.count_words import counted
from tracelink.report.format.render import Column, Kind, render


@click.command(epilog="Example: runout init --plant demo/out/plant.toml")
@click.option("--plant", "plant_file", required=True, metavar="FILE", help="The plant file (TOML).")
@click.option(
    "--key", "key_file", metavar="FILE", help="Where to make the signing key; beside the ledger unless said."
)
@click.option(
    "--at",
    metavar="TIME",
    help="Since when it is so, if not now (RFC 3339 with offset): when materials came in.",
)
@click.pass_obj
def init(place: str, plant_file: str, key_file: str | None, at: str | None) -> None:
    """Make a new ledger from a plant file.

    The file names the plant, its people, stations, products, lots, materials, sleeves, label numbers and
    orders. A ledger that exists is never overwritten. The key that signs its checkpoints is made beside it, in a
    file that only its owner may read; for a ledger on a database server name the file with --key.
    """
    with create_ledger(place, plant_file, key_file=key_file, at=at) as ledger:
        entries, head = ledger.head
    click.echo(
        f"Ledger {without_password(place)} is ready: {counted(entries, 'entry', 'entries')}. Head {head}"
    )
    click.echo("Keep that head elsewhere: with it anybody can show later that the journal was not rewritten.")
    key = make_signing_key(place, key_file=key_file)
    click.echo(
        f"Checkpoints are signed with {key.file}, which only its owner may read. Its public half: {key.public}"
    )


_COLUMNS = [
    Column("line", "line", Kind.NUMBER),
    Column("entry", "entry"),
    Column("says", "what it adds or changes", Kind.TEXT),
    Column("reason", "reason", Kind.TEXT),
]


@click.command(epilog="Example: runout plan new-orders.toml --by P000310S")
@click.argument("plant_file", metavar="FILE")
@click.option("--by", metavar="BADGE", help="Who hands it in; changes need the role quality.")
@click.option(
    "--second",
    metavar="BADGE",
    help="Another person of quality, for badges and roles; their PIN is taken from RUNOUT_SECOND_PIN.",
)
@click.option("--reason", metavar="TEXT", help="Why, for every change that does not say it itself.")
@click.option("--at", metavar="TIME", help="Since when what is added is so, if not now; not for changes.")
@click.option(
    "--dry-run", is_flag=True, help="Only say what would be added and changed; nothing is recorded."
)
@format_option
@click.pass_obj
def plan(
    place: str,
    plant_file: str,
    by: str | None,
    second: str | None,
    reason: str | None,
    at: str | None,
    dry_run: bool,
    fmt: str,
) -> None:
    """Add products, lots, orders, people and more from FILE, or change what was set up.

    All of the file is taken, or nothing of it; everything that is wrong is told at once, with its line. What was
    made before a change stays as it was. `runout guide plant-file` explains every table.
    """
    who = None if by is None else badge_of(by)
    agreed = None if second is None else badge_of(second, SECOND_PIN_VARIABLE)
    with open_ledger(place) as ledger:
        if dry_run:
            found = ledger.try_plan(plant_file, who, second=agreed, reason=reason, at=at)
            click.echo(render(found.to_dict(), _COLUMNS, fmt), nl=False)
            click.echo(f"{counted(len(found.lines), 'entry', 'entries')} would be added.", err=True)
            return
        added = ledger.plan(plant_file, who, second=agreed, reason=reason, at=at)
    click.echo(f"{counted(added, 'entry', 'entries')} added.")
