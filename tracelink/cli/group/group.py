"""`runout group`: several plants, whose journals come together in one database. Each command has a module of its own."""

import click

from tracelink.cli.common.lazy import LazyGroup

_AREAS = {
    "Following": {
        "publish": ("group_following:publish", "At a plant: let groups follow its journal."),
        "add": ("group_following:add", "Follow the journal of a plant."),
        "take": ("group_following:take", "Take what came into the tables, verified."),
        "status": ("group_following:status", "How far behind each plant the group is."),
    },
    "Questions": {
        "trace": ("group_questions:trace", "What a thing was made of, and where it went."),
        "contain": ("group_questions:contain", "What one cause touched, in every plant."),
        "find": ("group_questions:find", "Where a pallet or carton is, plant by plant."),
    },
}


@click.group(cls=LazyGroup, home="tracelink.cli.group", areas=_AREAS)
def group() -> None:
    """Ask across plants: the journal of each plant's ledger comes into one database by PostgreSQL's logical replication.

    With `publish`, --ledger names the ledger of a plant; with all others, the database of the group. What the group has is
    only read: a plant writes its own entries. How to set it up: runout guide group.
    """
