"""Ledgers of one plant at two sizes, and what a question costs: statements, steps of the database, calls of ours.

Nothing here is a time: the same question costs the same on a quick machine and on one that others use too. A step is an
instruction of SQLite's virtual machine, so a table that is read from end to end shows by its rows.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.engine import Engine
from support_cli import run
from support_plant import Floor

from tracelink.store.journal.subtrees import rebuild_tree

sys.path.insert(0, str(Path(__file__).resolve().parent / "bench"))

import scale_plant as plant
from scale_bulk import tally_anew

LOT, STACK, CARTON = 100, 50, 10
"""Discs in a lot, a stack and a carton: small, so that a plant of forty lots is made in two seconds."""
_EVERY = 10
"""Steps between two looks: a look at each would be slow."""


@dataclass(frozen=True)
class Cost:
    """What a command cost."""

    statements: int
    steps: int
    out: str
    err: str


def filled(place: Path, lots: int, monkeypatch) -> Path:
    """Make a ledger of that many lots, with journal and tree."""
    for name, value in (("LOT", LOT), ("STACK", STACK), ("CARTON", CARTON), ("CHANGE", STACK)):
        monkeypatch.setattr(plant, name, value)
    floor = Floor.new(str(place))
    with floor.ledger.transaction() as conn:
        for _ in plant.fill(conn, lots * LOT, keeps_journal=True):
            pass
        rebuild_tree(conn)
        tally_anew(conn)
    floor.ledger.close()
    return place


def cost(ledger: Path, *words: str) -> Cost:
    """Run a command and count what its connections did."""
    statements = steps = 0

    def begun(_statement):
        nonlocal statements
        statements += 1

    def stepped():
        nonlocal steps
        steps += _EVERY

    def connected(dbapi, _record):
        dbapi.set_trace_callback(begun)
        dbapi.set_progress_handler(stepped, _EVERY)

    event.listen(Engine, "connect", connected)
    try:
        outcome = run(*words, ledger=ledger)
    finally:
        event.remove(Engine, "connect", connected)
    assert outcome.code in (0, 1), (words, outcome.err)
    assert outcome.out or outcome.err, words
    return Cost(statements, steps, outcome.out, outcome.err)


def calls(ledger: Path, *words: str) -> int:
    """Run a command and count the calls of functions written in Python."""
    made = 0

    def called(_frame, what, _argument):
        nonlocal made
        made += what == "call"

    sys.setprofile(called)
    try:
        outcome = run(*words, ledger=ledger)
    finally:
        sys.setprofile(None)
    assert outcome.code in (0, 1), (words, outcome.err)
    return made
