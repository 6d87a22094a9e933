"""`runout group publish|add|take|status`: plants are followed, and what came of them is taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from runout import PlantGroup, PlantLink, publish_journal
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from runout import PlantStanding, PlantTaken

_TAKEN = [
    Column("plant", "plant"),
    Column("entries", "taken now", Kind.COUNT),
    Column("seq", "last entry", Kind.NUMBER),
    Column("link", "followed", Kind.TEXT),
]
_STANDING = [
    Column("plant", "plant"),
    Column("link", "followed", Kind.TEXT),
    Column("seq", "last entry", Kind.NUMBER),
    Column("recorded_at", "recorded", Kind.TIME),
    Column("waiting", "to be taken", Kind.COUNT),
    Column("heard_at", "last heard of", Kind.TIME),
]


@click.command(epilog="Example: runout group publish")
@click.pass_obj
def publish(place: str) -> None:
    """Let groups follow the journal of this plant's ledger.

    Its server must keep what logical replication needs (wal_level = logical). Entries, packed scans and signatures of
    stations are published; scans that are not closed into an entry yet stay here.
    """
    made = publish_journal(place)
    click.echo("The journal is published." if made else "The journal was published before.")


@click.command(epilog="Example: runout group add north postgresql://group@db.example.com/plant")
@click.argument("plant", metavar="NAME")
@click.argument("source", metavar="URL")
@click.pass_obj
def add(place: str, plant: str, source: str) -> None:
    """Follow the plant whose ledger is at URL, and call it NAME.

    The login in URL must be one that may replicate and read the journal. The database of the group is made ready by the first
    plant that is added: it must be empty.
    """
    PlantGroup(place).add(plant, source)
    click.echo(f"{plant} is followed. What it has comes now; then: runout group take")


@click.command(epilog="Example: runout group take")
@format_option
@click.pass_context
def take(ctx: click.Context, fmt: str) -> None:
    """Take what came from every plant into its tables.

    Each entry is verified as `audit verify` does it: one that does not follow the one before stops its plant, and is named;
    the others go on. Run it every minute or so.

    Exit codes: 0 everything that came was taken, 1 a plant is away or still sends its first copy, 3 what came from a plant does
    not verify.
    """
    taken = PlantGroup(ctx.obj).take()
    click.echo(render([_taken_row(one) for one in taken], _TAKEN, fmt), nl=False)
    ctx.exit(_told([(one.plant, one.link, one.why) for one in taken]))


@click.command(epilog="Example: runout group status --format json")
@format_option
@click.pass_context
def status(ctx: click.Context, fmt: str) -> None:
    """Say how far the group is behind each plant.

    Exit codes: 0 every plant is followed, 1 one is away or still sends its first copy, 3 one was stopped, because what came
    from it does not verify.
    """
    found = PlantGroup(ctx.obj).standings()
    click.echo(render([_standing_row(one) for one in found], _STANDING, fmt), nl=False)
    ctx.exit(_told([(one.plant, one.link, one.why) for one in found]))


def _taken_row(one: PlantTaken) -> dict[str, str | int]:
    return {"plant": one.plant, "entries": one.entries, "seq": one.head.seq, "link": one.link.value}


def _standing_row(one: PlantStanding) -> dict[str, str | int | None]:
    return {
        "plant": one.plant,
        "link": one.link.value,
        "seq": one.head.seq,
        "recorded_at": one.recorded_at,
        "waiting": one.waiting,
        "heard_at": one.heard_at,
    }


def _told(plants: list[tuple[str, PlantLink, str]]) -> int:
    """Say what is wrong with a plant; returns the exit code."""
    for plant, link, why in plants:
        if link is PlantLink.STOPPED:
            say(f"{plant}: {why}. Nothing more of it is taken; what was taken stays as it is.", err=True)
        elif link is PlantLink.AWAY:
            say(
                f"{plant}: nothing comes from its server now; what it writes meanwhile comes when it is back.",
                err=True,
            )
        elif link is PlantLink.FIRST_COPY:
            say(f"{plant}: what it had before still comes; it is taken when all of it is there.", err=True)
    links = {link for _plant, link, _why in plants}
    if PlantLink.STOPPED in links:
        return 3
    return 0 if links <= {PlantLink.FOLLOWED} else 1
