"""A person of the assembly hall finds parts by their number, and reads of positions, not of strokes."""

import pytest
from support_assembly import built_floor
from support_plant import n

from tracelink.balance.balance_sentences import lot_sentences
from tracelink.balance.lot import LotBalance
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.count_words import piece_words
from tracelink.report.pictures.tree_text import tree_text
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.records.text_search import SearchTerms, find_things


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


def test_parts_are_found_by_their_number_and_by_the_suppliers_lot():
    with built_floor().ledger.reading() as conn:
        by_number = list(find_things(conn, SearchTerms("EX-1001"), 10))
        by_lot = list(find_things(conn, SearchTerms("sl 77"), 10))
        boards = list(find_things(conn, SearchTerms("EX3000"), 10))
    assert [(each.hits[0].kind, each.total) for each in by_number] == [("part lot", 2), ("reel", 2)]
    assert [hit.code for each in by_lot for hit in each.hits] == [n("M1")]
    assert [(hit.kind, hit.code, hit.detail) for each in boards for hit in each.hits] == [
        ("build order", n("N1"), "40 pieces")
    ]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (CodeKind.REEL, ("part", "position")),
        (CodeKind.PART_LOT, ("part", "position")),
        (CodeKind.BUILD, ("piece", "number")),
        (CodeKind.LOT, ("disc", "stroke")),
    ],
)
def test_the_letter_of_a_code_says_what_is_counted(kind, words):
    said = piece_words(f"{kind.value}000001X")
    assert (said.one, said.number) == words
