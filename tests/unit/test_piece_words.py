"""A person of the assembly hall finds parts by their number, and reads of positions, not of strokes."""

import re
from io import BytesIO

import openpyxl
import pypdfium2
import pytest
from support_assembly import built_floor
from support_plant import START, n

from tracelink.balance.balance_sentences import lot_sentences
from tracelink.balance.lot import LotBalance
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.count_words import OF_DISCS, piece_words, words_of_all
from tracelink.report.pictures.tree_text import tree_text
from tracelink.report.scope.text import scope_text
from tracelink.services.containment import AnswerParts, answer
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
    assert [(each.hits[0].kind, each.total) for each in by_number] == [
        ("part", 1),
        ("part lot", 2),
        ("reel", 2),
    ]
    assert [hit.code for each in by_lot for hit in each.hits] == [n("M1")]
    assert [(hit.kind, hit.code, hit.detail) for each in boards for hit in each.hits] == [
        ("part", "EX-3000", ""),
        ("build order", n("N1"), "40 pieces"),
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


@pytest.fixture(scope="module")
def floor():
    return built_floor()


def said_in_every_form(found):
    """What a scope says on a screen, a page, paper and in a workbook, as one text."""
    pdf = pypdfium2.PdfDocument(found.to_pdf())
    book = openpyxl.load_workbook(BytesIO(found.to_workbook()))
    cells = (cell for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row)
    page = re.sub(r"<style.*?</style>|<[^>]+>", " ", found.to_page(), flags=re.DOTALL)
    paper = " ".join(sheet.get_textpage().get_text_range() for sheet in pdf)
    return "\n".join([scope_text(found.scope, found.document, found.query), page, paper, *map(str, cells)])


@pytest.mark.parametrize(
    ("what", "shape", "piece", "number"),
    [
        ("F1", Shape.FROM_ONSET, "part", "position"),
        ("M4", Shape.WHOLE_LIFE, "part", "position"),
        ("N1", Shape.INTERMITTENT, "piece", "number"),
    ],
)
def test_a_scope_speaks_of_parts_and_pieces_in_every_form(floor, what, shape, piece, number):
    """A disc, a stroke and a press are of the other hall: none of them in any form."""
    with floor.ledger.reading() as conn:
        found = answer(conn, ContainmentQuery(n(what), shape), AnswerParts(START, pages=True))
    said = said_in_every_form(found)
    assert re.findall(r"\b(?:discs?|strokes?|press|pressed)\b", said, re.IGNORECASE) == []
    assert f"affected {piece}" in said
    assert f"{number}s" in said
    assert f"{piece}s there" in said


def test_parts_that_are_left_on_a_reel_are_said_to_be_there(floor):
    with floor.ledger.reading() as conn:
        found = answer(conn, ContainmentQuery(n("F3"), Shape.INTERMITTENT), AnswerParts(START))
    text = scope_text(found.scope, found.document)
    assert "on the reel, or not booked on" in text
    assert found.to_dict()["document"]["places"][-1]["pieces"] == 30


def test_discs_and_parts_together_are_pieces():
    assert words_of_all([n("F1"), n("F2")]).one == "part"
    assert words_of_all([n("F1"), n("N1")]).one == "piece"
    assert words_of_all([]) is words_of_all([n("L1")]) is OF_DISCS


@pytest.mark.parametrize(
    ("lots", "holders"),
    [
        (("L1",), "cartons"),
        (("F1",), "units"),
        (("M1",), "units"),
        (("N1", "U101"), "units"),
        (("L1", "F1"), "cartons or units"),
    ],
)
def test_a_consignee_has_discs_in_cartons_and_parts_in_units(lots, holders):
    assert words_of_all(n(lot) for lot in lots).holders == holders
