"""A small plant in which some people have PINs."""

from datetime import datetime, timedelta

from support_plant import Floor, code

from tracelink.ledger import pins
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.access import PinSet
from tracelink.ledger.packs import unpack_scans
from tracelink.ledger.times import utc_seconds
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.ledger import utc_now

KEY = bytes(range(32))

PINS = {1: "73519264", 2: "40862937"}
"""Digits of the badges that have one, long enough not to turn up by chance."""

WRONG = "11936482"

COST = 2**4
"""scrypt's N of these PINs: a plant's makes every check take as long as most tests here. That one is tested by itself."""


def with_pins(floor: Floor) -> Floor:
    """Give Ada and Ben PINs."""
    floor.ledger._memory.pin_key = lambda: KEY
    records_as_it_happens(floor)
    with floor.ledger.writing() as booking:
        for number, digits in PINS.items():
            badge = code("P", number)
            kept = pins.make_verifier(KEY, badge, digits, bytes([number]) * 16, COST)
            booking.record(PinSet(badge, True, kept), Stamp(floor.at, utc_now(), person=badge))
    return floor


def records_as_it_happens(floor: Floor) -> None:
    """Let the time of recording, by which wrong PINs make wait, pass as that of the events does."""
    floor.ledger._now = lambda: utc_seconds(floor.at)


def later(floor: Floor, seconds: int) -> None:
    """Let time pass."""
    records_as_it_happens(floor)
    floor.at = (datetime.fromisoformat(floor.at) + timedelta(seconds=seconds)).isoformat()


def everything_kept(floor: Floor) -> str:
    """All that the ledger keeps as one text: tables, entries, raw scans."""
    with floor.ledger.reading() as conn:
        parts = [repr(row) for table in (*SHADOW, spool) for row in conn.execute(table.select())]
        for row in journal.rows(conn):
            parts.append(row.canonical.decode())
            parts += [scan.raw for scan in (unpack_scans(row.pack) if row.pack else ())]
    return "\n".join(parts)


def nothing_tells_a_pin(floor: Floor) -> None:
    kept = everything_kept(floor)
    told = "\n".join(f"{verdict.sentence} {verdict.count}" for verdict in floor.verdicts)
    for digits in (*PINS.values(), WRONG):
        assert digits not in kept
        assert digits not in told


def rebuilds(floor: Floor) -> None:
    """Tables equal a replay, desks and the PINs they wait for included."""

    def dump(conn):
        return {table.name: sorted(map(repr, conn.execute(table.select()))) for table in SHADOW}

    with floor.ledger.transaction() as conn:
        before = dump(conn)
        rebuild(conn)
        assert dump(conn) == before
