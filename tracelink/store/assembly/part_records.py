"""Parts and built pieces as walks and containments see them; a part of `SqlRecords`.

Only codes of the assembly hall are looked up here, so a plant without one is asked nothing.
"""

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Any

from sqlalchemy import text

from tracelink.genealogy.model.built_of import BuiltOf
from tracelink.genealogy.model.facts import (
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    MovementSums,
    UnreadJudgement,
)
from tracelink.genealogy.model.part_facts import (
    BUILD,
    REEL,
    PartLotFact,
    PartMoveFact,
    ReelItemFact,
    SinglePiece,
    build_movements,
    reel_movements,
)
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.parts.part_sets import TakenOutTo
from tracelink.ledger.parts.piece_places import pieces_of_place
from tracelink.store.assembly import judged_pieces
from tracelink.store.process.step_records import StepRecords
from tracelink.store.statements import short_reads

_PART_LOT = text(
    "SELECT code, part, revision, supplier_lot, date_code, quantity, status FROM part_lot WHERE code = :code"
)
_REEL = text(
    "SELECT r.code, r.part, k.what, r.revision, r.holds, r.used FROM reel r JOIN part_kind k ON k.number = r.part "
    "WHERE r.code = :code"
)
_BUILD = text(
    "SELECT b.code, b.part, k.what, b.version, b.quantity, b.at FROM build b JOIN part_kind k ON k.number = b.part "
    "WHERE b.code = :code"
)
_ITEM = 'SELECT reel, "first", "last", part_lot FROM reel_item '
_ITEMS = text(_ITEM + 'WHERE reel = :code ORDER BY "first"')
_WITH = text(_ITEM + 'WHERE part_lot = :code ORDER BY reel, "first"')
_WRONG = text('SELECT build, "first", "last" FROM wrong_reel WHERE reel = :code ORDER BY seq')
_MOVE = (
    'SELECT seq, line, reel, quantity, source, target, "first", "last", at, build, from_piece, to_piece, per_piece, lead '
    "FROM part_move "
)
_MOVES = text(_MOVE + "WHERE reel = :code ORDER BY seq, line")
_TAKEN = text(_MOVE + "WHERE build = :code ORDER BY seq, line")
_REELS_ON = text(
    "SELECT DISTINCT reel FROM part_move WHERE build = :code AND to_piece >= :number AND from_piece <= :number ORDER BY reel"
)
_PIECES = text("SELECT code, build, number, seq FROM piece WHERE build = :code ORDER BY number")
_PIECE = text("SELECT code, build, number, seq FROM piece WHERE code = :code")
_ORDER_OF = text(
    "SELECT code, first_serial, quantity FROM build WHERE first_serial <= :number ORDER BY first_serial DESC LIMIT 1"
)
_LOTS = (CodeKind.REEL.value, CodeKind.BUILD.value)
_OUT = {str(each): ContainerFact(str(each), str(each), "", "") for each in TakenOutTo}


class PartRecords(StepRecords):
    """Answers questions about parts and built pieces inside one transaction."""

    def part_lot(self, code: str) -> PartLotFact | None:
        """The part lot of that code."""
        return next((PartLotFact(*row) for row in self._hall_rows(CodeKind.PART_LOT, _PART_LOT, code)), None)

    def reel_items(self, reel: str) -> list[ReelItemFact]:
        """What a reel or tray was made of, by position."""
        return [ReelItemFact(*row) for row in self._hall_rows(CodeKind.REEL, _ITEMS, reel)]

    def reels_with(self, part_lot: str) -> list[ReelItemFact]:
        """The positions of reels and trays that are of a part lot, by reel and position."""
        return [ReelItemFact(*row) for row in self._hall_rows(CodeKind.PART_LOT, _WITH, part_lot)]

    def found_by_mistake(self, reel: str) -> list[tuple[str, int, int]]:
        """(build order, first, last piece) that may have parts of a reel which was found in the slot of another."""
        return [(row.build, row.first, row.last) for row in self._hall_rows(CodeKind.REEL, _WRONG, reel)]

    def taken_by(self, build: str) -> list[PartMoveFact]:
        """The movements of parts onto pieces of a build order, in journal order."""
        return [PartMoveFact(*row) for row in self._hall_rows(CodeKind.BUILD, _TAKEN, build)]

    def piece(self, code: str) -> SinglePiece | None:
        """The built piece with that serial label; its sequence is 0 if it was never handled by itself."""
        own = next((SinglePiece(*row) for row in self._hall_rows(CodeKind.PIECE, _PIECE, code)), None)
        if own is not None or code[:1] != CodeKind.PIECE.value:
            return own
        serial = PlantCode.parse(code).number
        for row in short_reads.rows(self._conn, _ORDER_OF, {"number": serial}):
            if serial < row.first_serial + row.quantity:
                return SinglePiece(code, row.code, serial - row.first_serial + 1, 0)
        return None

    def built_of(self, piece: str, seq: int) -> list[BuiltOf]:
        """What a built piece was built of before an entry: pieces of its order and of others, and positions of reels."""
        return self._built_pieces.of(piece, seq)

    def _ask(self, query: Any, **asked: object) -> list[Any]:
        return short_reads.rows(self._conn, query, asked)

    @cached_property
    def _built_pieces(self) -> judged_pieces.BuiltPieces:
        return judged_pieces.BuiltPieces(self._ask)

    @cached_property
    def _judged_parts(self) -> dict[str, list[JudgementFact | UnreadJudgement]]:
        return judged_pieces.judged_parts(self._ask)

    def _hall_judged(self, lot: str) -> list[JudgementFact]:
        return [one for one in self._judged_parts.get(lot, ()) if isinstance(one, JudgementFact)]

    def _hall_unread(self, lot: str) -> list[UnreadJudgement]:
        return [one for one in self._judged_parts.get(lot, ()) if isinstance(one, UnreadJudgement)]

    def _hall_rows(self, kind: CodeKind, query: Any, code: str, **more: object) -> list[Any]:
        if code[:1] != kind.value:
            return []
        return short_reads.rows(self._conn, query, {"code": code, **more})

    def _assembled(self, code: str) -> LotFact | None:
        """A reel or a build order, as a lot."""
        for row in self._hall_rows(CodeKind.REEL, _REEL, code):
            left = f"{row.used} of {row.holds} used"
            title = f"{row.part} {row.revision}, {row.what}"
            return LotFact(row.code, "", 1, title, "", row.holds, left, kind=REEL)
        for row in self._hall_rows(CodeKind.BUILD, _BUILD, code):
            title = f"{row.part} {row.version}, {row.what}"
            return LotFact(row.code, "", 1, title, "", row.quantity, "begun", kind=BUILD)
        return None

    def _part_movements(self, code: str) -> list[MovementFact]:
        """The movements of the parts of a reel, or of the pieces of a build order."""
        pieces = [SinglePiece(*row) for row in self._hall_rows(CodeKind.BUILD, _PIECES, code)]
        if code[:1] == CodeKind.BUILD.value:
            at = next((str(row.at) for row in self._hall_rows(CodeKind.BUILD, _BUILD, code)), "")
            return _sorted(build_movements(pieces, at))
        moves = self._moves_of(code)
        for build in dict.fromkeys(move.build for move in moves if move.build is not None):
            pieces += [SinglePiece(*row) for row in self._hall_rows(CodeKind.BUILD, _PIECES, build)]
        return _sorted(reel_movements(moves, pieces))

    def _moves_of(self, reel: str) -> list[PartMoveFact]:
        return [PartMoveFact(*row) for row in self._hall_rows(CodeKind.REEL, _MOVES, reel)]

    def _parts_into(self, place: str) -> list[MovementFact]:
        """The movements of parts into a piece, and of the piece itself."""
        return _sorted(self._into_piece(place))

    def _into_piece(self, place: str) -> Iterator[MovementFact]:
        piece = self.piece(place)
        if piece is None or not piece.seq:
            return
        begun = next((str(row.at) for row in self._hall_rows(CodeKind.BUILD, _BUILD, piece.build)), "")
        yield from build_movements([piece], begun)
        for row in self._hall_rows(CodeKind.BUILD, _REELS_ON, piece.build, number=piece.number):
            yield from (
                move for move in reel_movements(self._moves_of(row.reel), [piece]) if move.target == place
            )


def _sorted(movements: Iterable[MovementFact]) -> list[MovementFact]:
    return sorted(movements, key=lambda move: (move.seq, move.line))


def is_of_the_hall(code: str) -> bool:
    """Return whether a code is that of a reel or a build order, which are followed as lots."""
    return code[:1] in _LOTS


def followed_one_by_one() -> MovementSums:
    """Return the sums of a reel or build order: none, so that it is followed movement by movement."""
    return MovementSums((), (), 0, waiting=True)


def container_of_the_hall(code: str) -> ContainerFact | None:
    """Return pieces of a build order as a container, or where parts go that are taken out; None for anything else."""
    pieces = pieces_of_place(code)
    if pieces is None:
        return _OUT.get(code)
    build, first, last = pieces
    numbers = f"piece {first}" if first == last else f"pieces {first} to {last}"
    return ContainerFact(code, "boards", "", f"{numbers} of build order {build}")
