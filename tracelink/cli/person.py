"""`runout person list|pin`: badges, roles and PINs."""

import sys
from functools import partial

import click

import runout
from runout import open_ledger
from tracelink.cli.common.acting import SECOND_PIN_VARIABLE, badge_of
from tracelink.cli.common.lazy import SpelledGroup
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.report.format.render import Column, Kind, render

_COLUMNS = [
    Column("person", "badge"),
    Column("name", "name"),
    Column("roles", "roles", Kind.TEXT),
    Column("pin_seq", "PIN set by entry", Kind.NUMBER),
    Column("failures", "wrong PINs in a row", Kind.COUNT),
    Column("failed_at", "last at", Kind.TIME),
    Column("withdrawn", "withdrawn", Kind.TIME),
]


@click.group(cls=SpelledGroup)
def person() -> None:
    """People with badges: who they are, and their PINs."""


@person.command(name="list", epilog="Example: runout person list --format csv")
@format_option
@click.pass_obj
def list_people(place: str, fmt: str) -> None:
    """List everybody with a badge: roles, whether they have a PIN, wrong PINs in a row."""
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.people.everybody()
    click.echo(render(found.to_dict(), _COLUMNS, fmt), nl=False)


@person.command(epilog="Example: runout person pin P000310S --by P000310S")
@click.argument("badge")
@click.option(
    "--by", metavar="BADGE", help="Who sets it, if not the owner: needs the role quality and their own PIN."
)
@click.option("--stdin", "from_stdin", is_flag=True, help="Read the new PIN from standard input, one line.")
@click.option(
    "--new-key",
    is_flag=True,
    help="The file of the PIN key is lost: two people of quality make a new one; every PIN must be set anew.",
)
@click.option(
    "--second",
    metavar="BADGE",
    help="Another person of quality, who agrees to a PIN in place of a forgotten one, or to --new-key.",
)
@click.option("--reason", metavar="TEXT", help="Why, where two people act; kept with the entry.")
@click.pass_obj
def pin(
    place: str,
    badge: str,
    by: str | None,
    from_stdin: bool,
    new_key: bool,
    second: str | None,
    reason: str | None,
) -> None:
    """Give the owner of BADGE a PIN, or another one.

    From then on a station asks for it after the badge, and a command with --by BADGE asks for it or takes it from
    RUNOUT_PIN. The owner changes it with the old one; the first PIN is set by somebody with the role quality (--by),
    and one in place of a forgotten PIN by two of them (--by, --second, --reason), as whoever sets a PIN knows it. 4 to 8
    digits; it is kept nowhere, only what a secret key makes of it.

    Without that key no PIN can be checked, so a new one is an act of two people, which everybody finds in
    `runout findings`.
    """
    if (new_key or second or reason) and not (second and reason):
        raise UsageError("this is an act of two people: expected --second BADGE and --reason TEXT, both")
    made = agreed = None
    if second and reason:
        if new_key:
            made = runout.NewPinKey(second, reason)
        else:
            agreed = runout.PinReplacement(badge_of(second, SECOND_PIN_VARIABLE), reason)
    digits = _from_stdin if from_stdin else partial(_asked, PlantCode.parse(badge).text)
    with open_ledger(place) as ledger:
        done = ledger.people.set_pin(badge, digits, badge_of(by or badge), new_key=made, agreed=agreed)
    say(f"{done.name} has a new PIN.")
    if not done.asked_at_stations:
        click.echo("Stations of this plant do not ask for it: its setting badge_pin is 0.", err=True)


def _from_stdin() -> str:
    return sys.stdin.readline().rstrip("\r\n")


def _asked(code: str) -> str:
    if not sys.stdin.isatty():
        raise UsageError("a PIN is keyed at a terminal, or read with --stdin: found neither")
    return str(click.prompt(f"New PIN of {code}", hide_input=True, confirmation_prompt=True, err=True))
