"""A packing line that may pack on while its ledger is away: its key, without which it may not."""

from support_clock import station_clock
from support_plant import LINE, n

from runout import Badge, open_ledger


def with_key(place, file):
    """Give the line a key in a file, and return the file."""
    with station_clock(), open_ledger(place) as opened:
        made = opened.stations.make_key(LINE, file=file)
        opened.stations.enrol_key(made.public, Badge(n("P1")), Badge(n("P2")), "its own machine")
    return file
