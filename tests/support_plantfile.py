"""A plant file read as tests want it: its entries alone, or one error with everything that is wrong."""

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.errors import UsageError
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.plant.plantfile import examine_plant_file


def read_plant_file(data: Mapping[str, Any], *, new_ledger: bool) -> Iterator[EntryBody]:
    """Yield the entries of a plant file for a new ledger, or of one without changes.

    Args:
        data: the parsed TOML document.
        new_ledger: whether `[plant]` is wanted.

    Raises:
        UsageError: names all that is wrong: the table, the field, what was expected and what was found.
    """
    content = examine_plant_file(data, new_ledger=new_ledger)
    if content.faults:
        raise UsageError("\n".join(fault.sentence for fault in content.faults))
    yield from (entry.body for entry in content.entries)
