"""Cartons, pallets, orders and shipments as stations see them; a part of `SqlStationQueries`."""

from collections.abc import Callable, Sequence

from sqlalchemy import text

from tracelink.station.common import station_facts
from tracelink.store.stations.asking import Asking

_CARTON = text(
    "SELECT c.sscc, c.gtin, c.status, c.units, (SELECT n.parent FROM nesting n WHERE n.child = c.sscc "
    "AND n.closed_seq IS NULL AND n.parent NOT IN (SELECT code FROM location)) AS pallet FROM carton c WHERE c.sscc = :sscc"
)
_CARTON_LOTS = text("SELECT lot FROM stock WHERE place = :sscc AND quantity > 0 ORDER BY lot")
_PALLET = text(
    "SELECT p.sscc, p.status, (SELECT COUNT(*) FROM nesting n WHERE n.parent = p.sscc "
    "AND n.closed_seq IS NULL) AS cartons, (SELECT n.parent FROM nesting n WHERE n.child = p.sscc "
    "AND n.closed_seq IS NULL AND EXISTS (SELECT 1 FROM shipment d WHERE d.code = n.parent)) AS shipment FROM pallet p WHERE p.sscc = :sscc"
)
_PALLET_LOTS = text(
    "SELECT DISTINCT k.lot FROM nesting n JOIN stock k ON k.place = n.child AND k.quantity > 0 "
    "WHERE n.parent = :sscc AND n.closed_seq IS NULL ORDER BY k.lot"
)
_PALLET_GTINS = text(
    "SELECT DISTINCT c.gtin FROM nesting n JOIN carton c ON c.sscc = n.child "
    "WHERE n.parent = :sscc AND n.closed_seq IS NULL ORDER BY c.gtin"
)
_OPEN_PALLET = text("SELECT sscc FROM pallet WHERE station = :station AND status = 'open'")
_ORDER = text("SELECT code, consignee FROM customer_order WHERE code = :code")
_ORDER_LINES = text("SELECT gtin FROM order_line WHERE order_code = :code ORDER BY line")
_OPEN_SHIPMENT = text("SELECT code, order_code FROM shipment WHERE station = :station AND status = 'loading'")
_PALLETS_IN = text(
    "SELECT n.child FROM nesting n JOIN pallet p ON p.sscc = n.child WHERE n.parent = :shipment "
    "AND n.closed_seq IS NULL ORDER BY n.opened_seq"
)


class StockAnswers(Asking):
    """Answers on what is packed, stacked, ordered and loaded, inside one transaction."""

    _lots: Callable[[Sequence[str]], list[station_facts.Lot]]

    def carton(self, sscc: str) -> station_facts.Carton | None:
        """A carton."""
        row = self._first(_CARTON, sscc=sscc)
        return None if row is None else station_facts.Carton(*row)

    def carton_lots(self, sscc: str) -> Sequence[station_facts.Lot]:
        """The lots with discs in a carton."""
        return self._lots(self._scalars(_CARTON_LOTS, sscc=sscc))

    def pallet(self, sscc: str) -> station_facts.Pallet | None:
        """A pallet."""
        row = self._first(_PALLET, sscc=sscc)
        return None if row is None else station_facts.Pallet(*row)

    def pallet_lots(self, sscc: str) -> Sequence[station_facts.Lot]:
        """The lots with discs on a pallet."""
        return self._lots(self._scalars(_PALLET_LOTS, sscc=sscc))

    def pallet_gtins(self, sscc: str) -> Sequence[str]:
        """The products on a pallet."""
        return self._scalars(_PALLET_GTINS, sscc=sscc)

    def open_pallet(self, station: str) -> str | None:
        """The pallet being built at a dock."""
        row = self._first(_OPEN_PALLET, station=station)
        return None if row is None else str(row.sscc)

    def order(self, code: str) -> station_facts.Order | None:
        """An order."""
        row = self._first(_ORDER, code=code)
        if row is None:
            return None
        return station_facts.Order(row.code, row.consignee, tuple(self._scalars(_ORDER_LINES, code=code)))

    def open_shipment(self, station: str) -> tuple[str, str] | None:
        """The shipment being loaded at a dock, and its order."""
        row = self._first(_OPEN_SHIPMENT, station=station)
        return None if row is None else (row.code, row.order_code)

    def pallets_in(self, shipment: str) -> Sequence[str]:
        """The pallets on a vehicle."""
        return self._scalars(_PALLETS_IN, shipment=shipment)
