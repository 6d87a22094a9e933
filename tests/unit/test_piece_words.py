"""A person of the assembly hall reads of parts and positions, not of discs and strokes."""

from support_assembly import built_floor
from support_plant import n

from tracelink.balance.balance_sentences import lot_sentences
from tracelink.balance.lot import LotBalance
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.report.pictures.tree_text import tree_text
from tracelink.store.records.sql_records import SqlRecords


def test_a_reel_is_traced_by_positions():
    with built_floor().ledger.reading() as conn:
        told = tree_text(trace_forward(SqlRecords(conn), n("F1")))
    assert "placed on (20 parts, positions 1-20)" in told
    assert "disc" not in told
    assert "stroke" not in told


def test_a_balance_says_what_it_is_of():
    said = lot_sentences(LotBalance(n("F1"), ()))
    assert said[0] == f"Reel {n('F1')}: every line is ±0."
    assert said[1].startswith("Counted by hand: 0 parts. ")
    assert lot_sentences(LotBalance(n("L1"), ()))[0] == f"Lot {n('L1')}: every line is ±0."
