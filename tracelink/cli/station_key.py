"""`runout station-key make|enrol|withdraw|list`: the keys with which stations sign their scans."""

import click

from runout import open_ledger
from tracelink.cli.common.acting import SECOND_PIN_VARIABLE, badge_of
from tracelink.cli.common.lazy import SpelledGroup
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.report.format.render import Column, Kind, render

_COLUMNS = [
    Column("station", "station"),
    Column("key", "key"),
    Column("enrolled_by", "enrolled by entry", Kind.NUMBER),
    Column("withdrawn_by", "withdrawn by entry", Kind.NUMBER),
]
_by = click.option("--by", metavar="BADGE", required=True, help="Who acts: role quality.")
_second = click.option(
    "--second",
    metavar="BADGE",
    required=True,
    help="Another person with that role, who agrees; their PIN is taken from RUNOUT_SECOND_PIN.",
)
_reason = click.option("--reason", metavar="TEXT", required=True, help="Why; kept with the entry.")


@click.group(cls=SpelledGroup, name="station-key")
def station_key() -> None:
    """Keys with which stations sign their scans, so that nobody else can make any."""


@station_key.command(epilog="Example: runout station-key make W0000300")
@click.argument("station")
@click.option("--key", "file", metavar="FILE", help="Where the key is to lie; beside the ledger unless said.")
@click.pass_obj
def make(place: str, station: str, file: str | None) -> None:
    """Make the key of STATION in a file on its machine, and show its public half.

    Do it on the machine of the station. Only its owner may read the file; it never leaves that machine. The key counts
    once two people enrolled its public half.
    """
    with open_ledger(place, read_only=True) as ledger:
        made = ledger.stations.make_key(station, file=file)
    click.echo(made.public)
    click.echo(f"The key lies in {made.file}, which only its owner may read.", err=True)


@station_key.command(
    epilog="Example: runout station-key enrol KEY --by P000310S --second P000311Q --reason new"
)
@click.argument("key")
@_by
@_second
@_reason
@click.pass_obj
def enrol(place: str, key: str, by: str, second: str, reason: str) -> None:
    """Enrol KEY, the public half that `make` showed: from now on its station signs every scan.

    A key that stands for the station is replaced and withdrawn by it.
    """
    with open_ledger(place) as ledger:
        station = ledger.stations.enrol_key(key, badge_of(by), badge_of(second, SECOND_PIN_VARIABLE), reason)
    say(f"Station {station} signs its scans from now on.")


@station_key.command(
    epilog="Example: runout station-key withdraw W0000300 --by P000310S --second P000311Q --reason lost"
)
@click.argument("station")
@_by
@_second
@_reason
@click.pass_obj
def withdraw(place: str, station: str, by: str, second: str, reason: str) -> None:
    """Withdraw the key of STATION: it signs no longer, and what is signed with the key after this is a finding."""
    with open_ledger(place) as ledger:
        ledger.stations.withdraw_key(station, badge_of(by), badge_of(second, SECOND_PIN_VARIABLE), reason)
    say(f"Station {station} no longer signs its scans.")


@station_key.command(name="list", epilog="Example: runout station-key list --format csv")
@format_option
@click.pass_obj
def list_keys(place: str, fmt: str) -> None:
    """List the keys of stations, withdrawn ones as well."""
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.stations.keys()
    click.echo(render(found.to_dict(), _COLUMNS, fmt), nl=False)
