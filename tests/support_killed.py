"""What killed commands are tried on, and what is asked of the ledger afterwards, on both engines."""

from support_cases import shipped_file

from runout import copy_ledger
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger, read_ledger

ENGINES = ("sqlite", "postgresql")


def ledger_on(request, tmp_path):
    """Return the place of a ledger with shipped cartons, on the engine that a fixture asks for."""
    made = shipped_file(tmp_path)
    if request.param == "sqlite":
        return str(made)
    server = request.getfixturevalue("pg_place")
    copy_ledger(made, server)
    return server


def whole(place):
    """Require that a ledger verifies, its tables like its journal; returns the number of its entries."""
    with Ledger.open(place) as ledger, ledger.transaction():
        # A server may still be at what a dead program sent; whoever writes waits for it.
        pass
    with read_ledger(place) as conn:
        found = examine(conn)
    assert found.faults == []
    return found.head.seq
