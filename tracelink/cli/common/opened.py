"""A ledger for the length of a command."""

import click

from tracelink.store.ledger import Ledger


def opened(place: str, *, read_only: bool = False) -> Ledger:
    """Open the ledger at a place; it is closed when the command ends, however it ends.

    Raises:
        LedgerError: as `Ledger.open`.
    """
    return click.get_current_context().with_resource(Ledger.open(place, read_only=read_only))
