"""The sentence about records that were loaded into the ledger later than they tell of."""

from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.loaded_later import LoadedLater
from tracelink.ledger.time_words import moment


def loading_sentence(found: LoadedLater) -> str:
    """Say once what would otherwise be flagged entry by entry, and what follows from it."""
    first, last = (moment(time) for time in found.happened)
    begun, done = (moment(time) for time in found.recorded)
    when = f"at {begun}" if begun == done else f"from {begun} to {done}"
    return (
        f"The records were loaded later: {grouped(found.late)} of {counted(found.looked_at, 'entry', 'entries')} looked at "
        f"happened from {first} to {last} and were recorded {when}. When they happened is what the stations noted: the "
        "journal can only show changes made since they were loaded."
    )
