"""What only the warehouse and dock asks of the ledger; a part of `SqlStationQueries`."""

from collections.abc import Sequence

from sqlalchemy import TextClause, text

from tracelink.ledger.closed_sets import return_place
from tracelink.station.common.queries_dock import Allocation, Departure, Nesting, NumberFate, ReturnLine
from tracelink.store.stations.asking import Asking

_STANDING = text(
    "SELECT n.parent, CASE WHEN d.code IS NOT NULL THEN 'shipment' WHEN y.code IS NOT NULL THEN 'location' "
    "ELSE 'pallet' END AS what, n.opened_seq, COALESCE(o.consignee, y.name, '') AS name, "
    "COALESCE(w.name, '') AS station FROM nesting n LEFT JOIN shipment d ON d.code = n.parent "
    "LEFT JOIN customer_order o ON o.code = d.order_code LEFT JOIN station w ON w.code = d.station "
    "LEFT JOIN location y ON y.code = n.parent WHERE n.child = :code AND n.closed_seq IS NULL"
)
_LOCATION = text("SELECT name FROM location WHERE code = :code")
_THINGS_IN = text("SELECT child FROM nesting WHERE parent = :code AND closed_seq IS NULL ORDER BY child")
_CONTENTS = text("SELECT lot, quantity FROM stock WHERE place = :code AND quantity > 0 ORDER BY lot")
_LOOSE = text(
    "SELECT n.child FROM nesting n JOIN carton c ON c.sscc = n.child WHERE n.parent = :code "
    "AND n.closed_seq IS NULL ORDER BY n.opened_seq"
)
# From the shipments down to their cartons, so that a load costs what it holds and not what the plant ever packed.
_UNITS = (
    "WITH loaded(child) AS (SELECT n.child FROM shipment d JOIN nesting n ON n.parent = d.code "
    "AND n.closed_seq IS NULL WHERE {which}) SELECT COALESCE(SUM(c.units), 0) FROM (SELECT child FROM loaded "
    "UNION ALL SELECT m.child FROM loaded l JOIN nesting m ON m.parent = l.child AND m.closed_seq IS NULL) inside "
    "JOIN carton c ON c.sscc = inside.child WHERE c.gtin = :gtin"
)
_UNITS_ON = text(
    "SELECT COALESCE(SUM(c.units), 0) FROM nesting n JOIN carton c ON c.sscc = n.child "
    "WHERE n.parent = :code AND n.closed_seq IS NULL"
)
_UNITS_IN = text(_UNITS.format(which="d.code = :code"))
_UNITS_SENT = text(_UNITS.format(which="d.order_code = :code AND d.status = 'shipped'"))
_ORDERED = text("SELECT quantity FROM order_line WHERE order_code = :code AND gtin = :gtin")
_ALLOCATED = text(
    "SELECT order_code, units, seq FROM allocation WHERE subject = :code AND released_seq IS NULL"
)
_DRIVER = text(
    "SELECT name FROM driver_check WHERE shipment = :code AND seq > (SELECT COALESCE(MAX(CASE WHEN "
    "COALESCE(closed_seq, 0) > opened_seq THEN closed_seq ELSE opened_seq END), 0) FROM nesting "
    "WHERE parent = :code) ORDER BY seq DESC LIMIT 1"
)
_DEPARTURE = text(
    "SELECT order_code, departed_seq FROM shipment WHERE code = :code AND status = 'shipped' "
    "AND departed_seq IS NOT NULL"
)
_LAST_MOVED = text(
    "SELECT COALESCE(MAX(CASE WHEN COALESCE(closed_seq, 0) > opened_seq THEN closed_seq ELSE opened_seq END), 0) "
    "FROM nesting WHERE child = :code"
)
_SHIPMENT = text("SELECT status FROM shipment WHERE code = :code")
_NEXT_RETURN = text("SELECT COUNT(*) + 1 FROM return_line")
_RETURN = "SELECT number, carton, lot, discs, status, matrix FROM return_line WHERE "
_RETURN_LINE = text(_RETURN + "number = :number")
_RETURN_OF = text(_RETURN + "carton = :code AND status = 'quarantine'")
_SENT = text(
    "SELECT (SELECT COALESCE(SUM(k.quantity), 0) FROM stock k WHERE k.lot = :lot AND k.place IN ("
    "SELECT n.child FROM nesting n LEFT JOIN nesting m ON m.child = n.parent AND m.closed_seq IS NULL "
    "JOIN shipment d ON d.code = n.parent OR d.code = m.parent WHERE n.closed_seq IS NULL AND d.status = 'shipped'"
    ")) - (SELECT COALESCE(SUM(quantity), 0) FROM movement WHERE lot = :lot AND source = 'customers')"
)
_FATE = text(
    "SELECT fate, return_number FROM number_fate WHERE gtin = :gtin AND number = :number ORDER BY seq DESC LIMIT 1"
)
_BACK = text("SELECT number FROM number_fate WHERE return_number = :line AND fate = 'returned' ORDER BY seq")
_LOOSE_LINE = text(
    "SELECT r.number FROM return_line r WHERE r.carton IS NULL AND r.status = 'quarantine' AND r.matrix IN ("
    "SELECT matrix_a FROM product_part WHERE gtin = :gtin UNION SELECT matrix_b FROM product_part WHERE gtin = :gtin) "
    "AND (SELECT COUNT(*) FROM number_fate f WHERE f.return_number = r.number AND f.fate = 'returned') < r.discs "
    "ORDER BY r.number DESC LIMIT 1"
)
_PRODUCTS_OF = text(
    "SELECT DISTINCT gtin FROM product_part WHERE matrix_a = :matrix OR matrix_b = :matrix ORDER BY gtin"
)
# A disc in the customer's hands left in a carton that is, or was until it came back, in a departed shipment.
_STAMPERS = text("SELECT code FROM tool WHERE matrix = :matrix AND what = 'stamper' ORDER BY code")
_SHIPPED_LOTS = text(
    "SELECT DISTINCT s.lot FROM run_segment s JOIN tool t ON t.code IN (s.stamper_a, s.stamper_b) "
    'WHERE t.matrix = :matrix AND (CAST(:tool AS TEXT) IS NULL OR t.code = :tool) AND s."last" >= s."first" '
    "AND EXISTS (SELECT 1 FROM movement v JOIN nesting n ON n.child = v.target "
    "LEFT JOIN nesting m ON m.child = n.parent JOIN shipment d ON d.code = n.parent OR d.code = m.parent "
    "WHERE v.lot = s.lot AND d.status = 'shipped') ORDER BY s.lot"
)


class DockAnswers(Asking):
    """Answers of the warehouse and dock, inside one transaction."""

    def _number(self, query: TextClause, **values: object) -> int:
        return int(self._scalars(query, **values)[0])

    def standing(self, code: str) -> Nesting | None:
        """In what a pallet or a carton is now; None if it stands free."""
        row = self._first(_STANDING, code=code)
        return None if row is None else Nesting(*row)

    def location(self, code: str) -> str | None:
        """The name of a location."""
        row = self._first(_LOCATION, code=code)
        return None if row is None else str(row.name)

    def things_in(self, location: str) -> Sequence[str]:
        """The pallets and cartons in a location, by code."""
        return self._scalars(_THINGS_IN, code=location)

    def carton_contents(self, sscc: str) -> Sequence[tuple[str, int]]:
        """The lots with discs in a carton, and how many of each."""
        return [(row.lot, row.quantity) for row in self._all(_CONTENTS, code=sscc)]

    def loose_cartons_in(self, shipment: str) -> Sequence[str]:
        """The cartons on a vehicle that are on no pallet."""
        return self._scalars(_LOOSE, code=shipment)

    def units_in(self, shipment: str, gtin: str) -> int:
        """Finished units of a product on a vehicle."""
        return self._number(_UNITS_IN, code=shipment, gtin=gtin)

    def units_sent(self, order: str, gtin: str) -> int:
        """Finished units of a product in shipments of an order that have left."""
        return self._number(_UNITS_SENT, code=order, gtin=gtin)

    def ordered(self, order: str, gtin: str) -> int:
        """Finished units of a product that a customer ordered."""
        return self._number(_ORDERED, code=order, gtin=gtin)

    def units_on(self, pallet: str) -> int:
        """Finished units on a pallet."""
        return self._number(_UNITS_ON, code=pallet)

    def allocation(self, code: str) -> Allocation | None:
        """For which order a pallet or a carton is kept, if for any."""
        row = self._first(_ALLOCATED, code=code)
        return None if row is None else Allocation(*row)

    def allocated_to(self, code: str) -> str | None:
        """The order for which a pallet or a carton is kept."""
        found = self.allocation(code)
        return None if found is None else found.order

    def driver_of(self, shipment: str) -> str | None:
        """The driver who looked at a vehicle after the last change of its load."""
        row = self._first(_DRIVER, code=shipment)
        return None if row is None else str(row.name)

    def shipment_status(self, shipment: str) -> str | None:
        """Whether a shipment is loading or shipped."""
        row = self._first(_SHIPMENT, code=shipment)
        return None if row is None else str(row.status)

    def departure(self, shipment: str) -> Departure | None:
        """The departure of a shipment; None if it has not left, or is not known."""
        row = self._first(_DEPARTURE, code=shipment)
        return None if row is None else Departure(*row)

    def last_moved(self, code: str) -> int:
        """The last entry that put a pallet or a carton somewhere or took it out; 0 if none did."""
        return self._number(_LAST_MOVED, code=code)

    def next_return(self) -> int:
        """The number of the next return line."""
        return self._number(_NEXT_RETURN)

    def return_line(self, number: int) -> ReturnLine | None:
        """A return line by its number."""
        row = self._first(_RETURN_LINE, number=number)
        return None if row is None else ReturnLine(*row)

    def return_of(self, carton: str) -> ReturnLine | None:
        """The return line of a carton that is in quarantine."""
        row = self._first(_RETURN_OF, code=carton)
        return None if row is None else ReturnLine(*row)

    def carton_returned(self, number: int) -> Sequence[tuple[str, int]]:
        """The lots with discs in the place of a return, and how many of each."""
        return self.carton_contents(return_place(number))

    def discs_sent(self, lot: str) -> int:
        """Discs of a lot in cartons that have left, less those that came back loose."""
        return self._number(_SENT, lot=lot)

    def in_quarantine(self, line: ReturnLine) -> bool:
        """Return whether loose discs are in the place of a return; older programs moved none."""
        return bool(self.carton_returned(line.number))

    def number_fate(self, gtin: str, number: str) -> NumberFate | None:
        """What last happened to a numbered sleeve after it was packed."""
        row = self._first(_FATE, gtin=gtin, number=number)
        return None if row is None else NumberFate(*row)

    def numbers_back(self, line: int) -> Sequence[str]:
        """The numbers scanned for a return line, in order."""
        return self._scalars(_BACK, line=line)

    def loose_line(self, gtin: str) -> int | None:
        """The latest return line of loose discs of a product that still lacks numbers; in quarantine."""
        row = self._first(_LOOSE_LINE, gtin=gtin)
        return None if row is None else int(row.number)

    def products_of(self, matrix: str) -> Sequence[str]:
        """The products with a disc of this matrix number."""
        return self._scalars(_PRODUCTS_OF, matrix=matrix)

    def stampers_of(self, matrix: str) -> Sequence[str]:
        """The stampers with this matrix number, by code, retired ones included."""
        return self._scalars(_STAMPERS, matrix=matrix)

    def shipped_lots(self, matrix: str, tool: str | None) -> Sequence[str]:
        """The lots pressed with a stamper of this matrix number, or with this very stamper, that were shipped."""
        return self._scalars(_SHIPPED_LOTS, matrix=matrix, tool=tool)
