"""Bundles about parts and built pieces: a part lot, a reel, a build order, a piece; and the pieces in cartons.

What a piece was made of is told by the walk back from it, where it went by the walk forward. A reel that a unit took parts of
went into other units as well: those are followed for a bundle about the reel, and not for one about the unit.
"""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, text

from tracelink.genealogy.model.tree import Tree
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.count_words import kind_words
from tracelink.store.bundle.scope_codes import BundleScope, column_of, known
from tracelink.store.records.sql_records import SqlRecords

_PART_LOT = text("SELECT code FROM part_lot WHERE code = :code")
_REEL = text("SELECT code FROM reel WHERE code = :code")
_BUILD = text("SELECT code FROM build WHERE code = :code")
_PIECE = text("SELECT code FROM piece WHERE code = :code")
_CARTON = text("SELECT sscc FROM carton WHERE sscc = :code")
_UNITS_IN = text("SELECT n.child FROM nesting n JOIN piece p ON p.code = n.child WHERE n.parent = :code")
_GTIN = text(
    "SELECT b.gtin FROM piece p JOIN build o ON o.code = p.build JOIN bill b ON b.part = o.part AND b.version = o.version "
    "WHERE p.code = :code AND b.gtin IS NOT NULL"
)
_SOURCES = frozenset({CodeKind.PART_LOT.value, CodeKind.REEL.value, CodeKind.BUILD.value})
_SUBJECTS = (
    (_PART_LOT, "part-lot"),
    (_REEL, "reel"),
    (_BUILD, "build"),
    (_PIECE, "piece"),
)


def part_subject(conn: Connection, code: str) -> BundleScope | None:
    """Return the scope of a part lot, reel, build order or labelled piece; None if the code is none of them."""
    kind = next((kind for query, kind in _SUBJECTS if known(conn, query, code)), None)
    if kind is None:
        return None
    records = SqlRecords(conn)
    scope = BundleScope(kind_words(kind), code)
    ahead = _codes(trace_forward(records, code))
    scope.parts |= {each for each in ahead if _is_of_the_hall(each)} | {code}
    scope.cartons |= {each for each in ahead if known(conn, _CARTON, each)}
    return scope


def add_pieces(conn: Connection, scope: BundleScope) -> None:
    """Add the built pieces in the cartons of a bundle with what they were made of, and what are products among all pieces."""
    inside = {unit for carton in sorted(scope.cartons) for unit in column_of(conn, _UNITS_IN, carton)}
    if scope.parts:
        # A bundle about parts follows those; what else lies in their cartons is another story.
        inside &= scope.parts
    scope.parts |= inside
    _made_of(SqlRecords(conn), scope, sorted(scope.parts))
    for piece in sorted(scope.parts):
        if piece[:1] == CodeKind.PIECE.value:
            scope.named_parts.update((piece, gtin) for gtin in column_of(conn, _GTIN, piece))


def _made_of(records: SqlRecords, scope: BundleScope, codes: Iterable[str]) -> None:
    for code in codes:
        for each in _codes(trace_back(records, code)):
            if _is_of_the_hall(each) and each not in scope.parts:
                (scope.part_sources if each[:1] in _SOURCES else scope.parts).add(each)


def _codes(tree: Tree) -> list[str]:
    return [node.code for node in tree.nodes]


def _is_of_the_hall(code: str) -> bool:
    # Places of unlabelled pieces have a name of two words; they are told by their order.
    return " " not in code and code[:1] in _SOURCES | {CodeKind.PIECE.value} and not code.isdigit()
