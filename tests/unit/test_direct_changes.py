"""Changes carried out by statements kept ready come to the rows, and are refused with the sentences, of one by one."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from support_schema import empty_ledger

from tracelink.errors import RefusedByRule
from tracelink.ledger.changes import Delete, Increase, Insert, Update
from tracelink.store.journal.direct_changes import DirectChanges
from tracelink.store.journal.projection import carry_out

PALLET = {"sscc": "1", "status": "open", "station": "W1", "seq": 1}
CHANGES = [
    Insert("pallet", PALLET),
    # The same table with its columns in another order.
    Insert("pallet", {"seq": 2, "status": "open", "sscc": "2", "station": "W1"}),
    Increase("stock", {"place": "K1", "lot": "L1"}, "quantity", 4),
    Increase("stock", {"lot": "L1", "place": "K1"}, "quantity", -1),
    Update("pallet", {"sscc": "1"}, {"status": "closed", "station": "W3"}),
    Update("pallet", {"sscc": "2"}, {"station": "W2", "status": "accepted"}),
    Insert("pallet", {**PALLET, "sscc": "3"}),
    Delete("pallet", {"sscc": "3"}),
]
REFUSED = [
    Update("pallet", {"sscc": "9"}, {"status": "closed"}),
    Delete("pallet", {"sscc": "9"}),
    Insert("pallet", PALLET),
    Increase("stock", {"place": "K1", "lot": "L1"}, "quantity", -9),
]


def one_by_one(conn):
    return lambda change: carry_out(conn, [change])


def kept_ready(conn):
    return DirectChanges(conn).carry_out


def carried_out(way):
    """Rows of both tables after all changes, and what is said to those that are refused then."""
    with empty_ledger().connect() as conn:
        # What the rows refer to need not be there for this.
        conn.connection.execute("PRAGMA foreign_keys=OFF")
        with conn.begin():
            carry = way(conn)
            for change in CHANGES:
                carry(change)
            told = []
            for change in REFUSED:
                with pytest.raises((RefusedByRule, IntegrityError)) as caught:
                    carry(change)
                told.append((type(caught.value), str(getattr(caught.value, "orig", caught.value))))
            rows = [
                conn.execute(text(f"SELECT * FROM {name} ORDER BY 1")).all() for name in ("pallet", "stock")
            ]
        return rows, told


def test_both_ways_come_to_the_same():
    rows, told = carried_out(kept_ready)
    assert (rows, told) == carried_out(one_by_one)
    assert [len(each) for each in rows] == [2, 1]
    assert told[0][1] == "the ledger has 0 rows of pallet for sscc 9: expected one"
