"""A stack picked by ranges: its discs are all known, and yet its movements may contradict each other."""

from support_genealogy_plant import move
from support_memory import MemoryRecords

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.facts import LotFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


def test_two_picks_of_two_discs_each_out_of_three_strokes_contradict_each_other():
    """The pool of the stack is known; only that the picks cut through it says that they must be looked at together."""
    records = MemoryRecords(
        lots=[LotFact("L1", "9520000012342", 1, "Moth Parliament", "W1", 8, "")],
        movements=[
            move(2, "L1", 8, "counter", "K1", 1, 8),
            move(3, "L1", 1, "K1", "C1"),
            move(4, "L1", 2, "K1", "C2", 1, 3),
            move(5, "L1", 2, "K1", "C3", 1, 3),
        ],
    )
    held = lot_holdings(records, "L1", NO_STROKES, StrokeSet.between(1, 1))
    assert all(pool.known for pool in held.history.pools)
    [conflict] = held.conflicts
    assert "entry 4 (2 from K1 to C2, strokes 1-3); entry 5 (2 from K1 to C3, strokes 1-3)" in conflict
    assert not held.bound(["C2"]).tight
