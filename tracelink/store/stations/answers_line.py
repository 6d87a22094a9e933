"""What only the packing line asks of the ledger; a part of `SqlStationQueries`."""

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import text

from tracelink.ledger.closed_sets import PrintStatus
from tracelink.station.common.queries_line import CartonContent, CountIn, KitItem, KitPiece, LotIn
from tracelink.station.line.state import read_line_state
from tracelink.store.compact.stored_rows import said
from tracelink.store.stations.asking import Asking

USUAL_AREAS = ("stack", "magazine", "sleeves", "inserts", "printer", "floor", "reject bin")
"""Where to look unless the plant says otherwise. Source: 21 CFR 211.130(e) asks for the look; the list is common practice."""

_DISCS = text("SELECT piece FROM product_part WHERE gtin = :gtin ORDER BY piece")
_KIT = text("SELECT disc, item, name FROM kit_piece WHERE gtin = :gtin ORDER BY place")
_ITEM = text("SELECT code, name, gtin, status FROM kit_item WHERE code = :code")
_AREAS = text("SELECT name FROM clearance_area ORDER BY line")
_LOTS = text(
    "SELECT k.lot, l.piece, k.quantity FROM stock k JOIN lot l ON l.code = k.lot "
    "WHERE k.place = :sscc AND k.quantity > 0 ORDER BY l.piece, k.lot"
)
_PACKED_FROM = text("SELECT 1 FROM movement WHERE source = :spindle AND target = :carton LIMIT 1")
_PACKS_FROM = text(
    "SELECT w.name FROM station w WHERE w.code <> :but AND (EXISTS (SELECT 1 FROM spool p WHERE p.station = w.code "
    "AND p.spindle = :spindle) OR EXISTS (SELECT 1 FROM movement v JOIN carton c ON c.sscc = v.target "
    "WHERE v.source = :spindle AND c.status = 'open' AND c.station = w.code)) ORDER BY w.code LIMIT 1"
)
_LINES = text(
    "SELECT name, desk FROM station WHERE area = 'line' AND code <> :but AND desk LIKE :named ORDER BY code"
)
_STACK = text("SELECT j.stored FROM spindle s JOIN journal j ON j.seq = s.seq WHERE s.code = :spindle")
_BATCHES = text("SELECT batch, units FROM carton_sleeve WHERE carton = :sscc AND units > 0 ORDER BY batch")
_ITEMS = text("SELECT item, quantity FROM carton_item WHERE carton = :sscc AND quantity > 0 ORDER BY item")
_NUMBERS = text("SELECT number FROM numbered_sleeve WHERE carton = :sscc ORDER BY number")


class LineAnswers(Asking):
    """Answers of the packing line, inside one transaction."""

    _keep: Callable[[str, str, Callable[[], Any]], Any]
    superseded_since: Callable[[str], str | None]

    def kit(self, gtin: str) -> Sequence[KitPiece]:
        """What goes into a unit, in order; the discs alone for a product without a kit of its own."""
        found: Sequence[KitPiece] = self._keep("kit", gtin, lambda: self._find_kit(gtin))
        return found

    def _find_kit(self, gtin: str) -> Sequence[KitPiece]:
        found = [KitPiece(*row) for row in self._all(_KIT, gtin=gtin)]
        return found or [KitPiece(piece, None, "") for piece in self._scalars(_DISCS, gtin=gtin)]

    def kit_item(self, code: str) -> KitItem | None:
        """An item that goes into sleeves."""
        row = self._first(_ITEM, code=code)
        if row is None:
            return None
        is_old = self.superseded_since(code) is not None
        return KitItem(row.code, row.name, row.gtin, PrintStatus.SUPERSEDED if is_old else row.status)

    def clearance_areas(self) -> Sequence[str]:
        """Where two people look before a line is cleared."""
        return self._scalars(_AREAS) or USUAL_AREAS

    def packed_from(self, spindle: str, carton: str) -> bool:
        """Return whether discs of this spindle went into this carton, sealed entries only."""
        return self._first(_PACKED_FROM, spindle=spindle, carton=carton) is not None

    def carton_content(self, sscc: str) -> CartonContent:
        """What a carton holds."""
        return CartonContent(
            lots=tuple(LotIn(*row) for row in self._all(_LOTS, sscc=sscc)),
            batches=tuple(CountIn(*row) for row in self._all(_BATCHES, sscc=sscc)),
            items=tuple(CountIn(*row) for row in self._all(_ITEMS, sscc=sscc)),
            numbers=tuple(self._scalars(_NUMBERS, sscc=sscc)),
        )

    def stack_recorded(self, spindle: str) -> str:
        """When a stack was recorded, UTC, by the recording clock."""
        return str(said(self._first(_STACK, spindle=spindle).stored)["recorded_at"])

    def packs_from(self, spindle: str, but: str) -> str | None:
        """The name of another line that has a spindle open, or packed from it into its open carton; None if none."""
        row = self._first(_PACKS_FROM, spindle=spindle, but=but)
        return self._has_open(spindle, but) if row is None else str(row.name)

    def _has_open(self, spindle: str, but: str) -> str | None:
        """The name of another line that has opened a spindle and packs, or is about to; its first disc may be in hand."""
        for row in self._all(_LINES, but=but, named=f'%"{spindle}"%'):
            state = read_line_state(row.desk)
            is_open = any(each.spindle == spindle for each in state.spindles)
            if is_open and (state.carton is not None or not state.since_check):
                return str(row.name)
        return None
