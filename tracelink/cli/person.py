"""`runout person list|pin`: badges, roles and PINs."""

import sys

import click

from tracelink.cli.common.acting import require_pin
from tracelink.cli.common.opened import opened
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.store.journal.pin_key import key_file, make_key, read_key
from tracelink.store.ledger import Ledger, local_now, read_ledger, utc_now
from tracelink.store.office.people import people, set_pin
from tracelink.store.stations.answers import SqlStationQueries

_COLUMNS = [
    Column("person", "badge"),
    Column("name", "name"),
    Column("roles", "roles", Kind.TEXT),
    Column("pin_seq", "PIN set by entry", Kind.NUMBER),
    Column("failures", "wrong PINs in a row", Kind.COUNT),
    Column("failed_at", "last at", Kind.TIME),
]


@click.group()
def person() -> None:
    """People with badges: who they are, and their PINs."""


@person.command(name="list", epilog="Example: runout person list --format csv")
@format_option
@click.pass_obj
def list_people(place: str, fmt: str) -> None:
    """List everybody with a badge: roles, whether they have a PIN, wrong PINs in a row."""
    with read_ledger(place) as conn:
        rows: list[dict[str, Cell]] = [dict(row) for row in people(conn)]
    click.echo(render(rows, _COLUMNS, fmt), nl=False)


@person.command(epilog="Example: runout person pin P000310S --by P000310S")
@click.argument("badge")
@click.option(
    "--by", metavar="BADGE", help="Who sets it, if not the owner: needs the role quality and their own PIN."
)
@click.option("--stdin", "from_stdin", is_flag=True, help="Read the new PIN from standard input, one line.")
@click.option(
    "--new-key",
    is_flag=True,
    help="The file of the PIN key is lost: make a new one; every PIN must be set anew.",
)
@click.pass_obj
def pin(place: str, badge: str, by: str | None, from_stdin: bool, new_key: bool) -> None:
    """Give the owner of BADGE a PIN, or another one.

    From then on a station asks for it after the badge, and a command with --by BADGE asks for it or takes it from
    RUNOUT_PIN. The owner changes it with the old one; the first PIN, and one that was forgotten, is set by somebody
    with the role quality (--by). 4 to 8 digits; it is kept nowhere, only what a secret key makes of it.
    """
    ledger = opened(place)
    code, who = PlantCode.parse(badge).text, PlantCode.parse(by or badge).text
    key = read_key(place) if new_key else _key(ledger, place)
    if new_key:
        if key is not None:
            raise UsageError(f"there is a PIN key in {key_file(place)}: --new-key is for one that is lost")
        key = make_key(place)
    else:
        require_pin(ledger, who)
    assert key is not None
    digits = _from_stdin() if from_stdin else _asked(code)
    with ledger.writing() as booking:
        owner = set_pin(booking, Stamp(local_now(), utc_now(), person=who), code, digits, key)
        asks = booking.queries.setting("badge_pin")
    say(f"{owner.name} has a new PIN.")
    if not asks:
        click.echo("Stations of this plant do not ask for it: its setting badge_pin is 0.", err=True)


def _key(ledger: Ledger, place: str) -> bytes:
    found = read_key(place)
    if found is not None:
        return found
    with ledger.reading() as conn:
        if SqlStationQueries(conn).pins_in_use():
            raise UsageError(
                f"the PIN key {key_file(place)} is not here, and there are PINs that were set with it: bring it back, "
                "or give --new-key and set every PIN anew"
            )
    return make_key(place)


def _from_stdin() -> str:
    return sys.stdin.readline().rstrip("\r\n")


def _asked(code: str) -> str:
    if not sys.stdin.isatty():
        raise UsageError("a PIN is keyed at a terminal, or read with --stdin: found neither")
    return str(click.prompt(f"New PIN of {code}", hide_input=True, confirmation_prompt=True, err=True))
