"""`runout group`: several plants, whose journals come together in one database. Each command has a module of its own."""

import click

from tracelink.cli.common.lazy import LazyGroup

_COMMANDS = {
    "publish": ("group_following:publish", "At a plant: let groups follow its journal."),
    "add": ("group_following:add", "Follow the journal of a plant."),
    "take": ("group_following:take", "Take what came into the tables, verified."),
    "status": ("group_following:status", "How far behind each plant the group is."),
    "trace": ("group_questions:trace", "What a thing was made of, and where it went."),
    "contain": ("group_questions:contain", "What one cause touched, in every plant."),
    "find": ("group_questions:find", "Where a pallet or carton is, plant by plant."),
}


@click.group(
    cls=LazyGroup,
    lazy={name: (f"tracelink.cli.group.{place}", text) for name, (place, text) in _COMMANDS.items()},
)
def group() -> None:
    """Ask across plants: the journal of each plant's ledger comes into one database by PostgreSQL's logical replication.

    With `publish`, --ledger names the ledger of a plant; with all others, the database of the group. What the group has is
    only read: a plant writes its own entries. How to set it up: runout guide group.
    """
