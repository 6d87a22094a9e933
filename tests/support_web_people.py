"""The plant of the case tests as a file in which some people have PINs, and its key."""

import shutil
from datetime import UTC, datetime

from support_cases import ADA, BEN, shipped_file
from support_pins import COST, KEY, PINS
from support_sql import read

from tracelink.ledger import pins
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.access import PinSet
from tracelink.store.journal.pin_key import write_key
from tracelink.store.ledger import Ledger, utc_now

OF_ADA, OF_BEN, OF_CLEO = PINS[1], PINS[2], "58204716"


def plant_with_pins(folder, more=(), made=shipped_file):
    """The ledger as a file with its PIN key beside it; Ada and Ben have PINs, and whoever more is said."""
    place = made(folder)
    write_key(str(place), KEY)
    with Ledger.open(str(place)) as ledger, ledger.writing() as booking:
        for number, (badge, pin) in enumerate({ADA: OF_ADA, BEN: OF_BEN, **dict(more)}.items(), start=1):
            kept = pins.make_verifier(KEY, badge, pin, bytes([number]) * 16, COST)
            stamp = Stamp(datetime.now(UTC).isoformat(timespec="seconds"), utc_now(), person=badge)
            booking.record(PinSet(badge, True, kept), stamp)
    return place


def laid_down(template, folder):
    """A copy of a ledger in a file and of the keys beside it."""
    for file in template.parent.glob(f"{template.name}*"):
        shutil.copy(file, folder / file.name)
    return folder / template.name


def rows(place, table, *columns, order="", **equal):
    """What stands in a table of a ledger in a file."""
    with Ledger.open(str(place), read_only=True) as ledger, ledger.reading() as conn:
        return read(conn, table, *columns, order=order, **equal)
