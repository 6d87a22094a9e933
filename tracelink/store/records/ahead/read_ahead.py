"""Containers and what they stand in, read in hundreds at a time before they are asked for one by one.

A walk or a scope of one father asks about thousands of cartons. One by one that is thousands of statements, and
the statements, not the rows, are what costs. Whoever asks says beforehand which codes will come; the answers are
the same with and without.
"""

from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import Connection

from tracelink.genealogy.model.facts import ContainerFact, NestFact, ShipmentFact
from tracelink.identity.plantcode import CodeKind
from tracelink.store.records.ahead.ahead_rows import AheadRows, Asking, asking, rows_of

# Nearly all that is asked for are cartons, so what they stood in comes with them.
_CARTONS = asking(
    "SELECT c.sscc, c.status, n.parent, n.opened_seq, n.closed_seq FROM carton c LEFT JOIN nesting n ON n.child = c.sscc "
    "WHERE c.sscc IN ({codes}) ORDER BY c.sscc, n.opened_seq"
)
# Every carton into which discs of some lots went: no list of thousands of codes is handed over.
_FILLED = asking(
    "SELECT c.sscc, c.status, n.parent, n.opened_seq, n.closed_seq "
    "FROM (SELECT DISTINCT target FROM movement WHERE lot IN ({codes})) m JOIN carton c ON c.sscc = m.target "
    "LEFT JOIN nesting n ON n.child = c.sscc ORDER BY n.opened_seq"
)
_PALLETS = asking("SELECT sscc, 'pallet', status, '' FROM pallet WHERE sscc IN ({codes})")
_PLANT_CODES = {
    "K": "SELECT code, 'spindle', 'stacked', '' FROM spindle WHERE code IN ({codes})",
    "S": "SELECT code, 'sample', 'in lab', 'lot ' || lot || COALESCE(', disc ' || stroke, ', stroke unknown') FROM sample WHERE code IN ({codes})",
    "U": "SELECT code, 'piece', CASE WHEN EXISTS (SELECT 1 FROM sample s WHERE s.code = piece.code) THEN 'in lab' ELSE status END, 'piece ' || number || ' of build order ' || build, (SELECT b.part || ', ' || k.what FROM build b JOIN part_kind k ON k.number = b.part WHERE b.code = piece.build) FROM piece WHERE code IN ({codes})",
    CodeKind.SHIPMENT.value: "SELECT code, 'shipment', status, '' FROM shipment WHERE code IN ({codes})",
    "Y": "SELECT code, 'location', '', name FROM location WHERE code IN ({codes})",
}
_PARENT = "SELECT child, parent, opened_seq, closed_seq FROM nesting WHERE child IN ({codes}) ORDER BY child, opened_seq"


_SHIPMENTS = asking(
    "SELECT s.code, s.code, s.order_code, o.consignee, o.country, s.departed_at, s.departed_seq FROM shipment s "
    "JOIN customer_order o ON o.code = s.order_code WHERE s.code IN ({codes})"
)
_CONTAINERS = {letter: asking(kind) for letter, kind in _PLANT_CODES.items()}
"""By the first letter of a plant code."""
_PARENTS = asking(_PARENT)
CartonRow = tuple[str, str, str, int, int | None]
"""A carton, its status, and one nesting of it; the fields of the nesting are None for one that never stood in anything."""


class LookAhead:
    """What was read ahead on one connection.

    Args:
        conn: a connection inside one transaction, so that what was read stays true.
    """

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._containers: dict[str, ContainerFact | None] = {}
        self._parents: dict[str, list[NestFact]] = {}
        self._shipments = AheadRows(conn, _SHIPMENTS, ShipmentFact)

    def read(self, codes: Iterable[str]) -> None:
        """Read containers of these codes, and everything they stand or stood in, level by level."""
        level = self._unknown(codes)
        while level:
            self._containers.update(dict.fromkeys(level))
            self._parents.update((code, []) for code in level)
            by_letter: dict[str, list[str]] = {}
            for code in level:
                by_letter.setdefault("" if code.isdigit() else code[:1], []).append(code)
            self._read_cartons(by_letter.pop("", []))
            for letter, alike in by_letter.items():
                if letter in _CONTAINERS:
                    self._keep(_CONTAINERS[letter], alike)
                # Plant codes are asked as well: no rule here says that only what has an SSCC can stand in something.
                self._read_parents(alike)
            self._shipments.read(by_letter.get(CodeKind.SHIPMENT.value, ()))
            level = self._unknown(nest.parent for code in level for nest in self._parents[code])

    def read_filled(self, lots: Iterable[str]) -> None:
        """Read the cartons into which discs of these lots went, and everything they stand or stood in."""
        nests = self._keep_cartons(rows_of(self._conn, _FILLED, list(lots)))
        self.read({nest.parent for stood in nests.values() for nest in stood})

    def container(self, code: str) -> ContainerFact | None:
        """The container of that code."""
        if code not in self._containers:
            self.read([code])
        return self._containers[code]

    def shipment(self, code: str) -> ShipmentFact | None:
        """The shipment of that code."""
        if not code.startswith(CodeKind.SHIPMENT.value):
            return None
        return next(iter(self._shipments.of(code)), None)

    def parents_of(self, code: str) -> list[NestFact]:
        """Where a carton or pallet is and was nested, in the order it went in."""
        if code not in self._parents:
            self.read([code])
        return self._parents[code]

    def _unknown(self, codes: Iterable[str]) -> list[str]:
        return [code for code in dict.fromkeys(codes) if code not in self._containers]

    def _keep_cartons(self, rows: Iterable[CartonRow]) -> Mapping[str, list[NestFact]]:
        nests: dict[str, list[NestFact]] = {}
        containers = self._containers
        for code, status, parent, opened, closed in rows:
            stood = nests.get(code)
            if stood is None:
                stood = nests[code] = []
                containers[code] = ContainerFact(code, "carton", status, "")
            if parent is not None:
                stood.append(NestFact(code, parent, opened, closed))
        self._parents.update(nests)
        return nests

    def _read_cartons(self, codes: Sequence[str]) -> None:
        self._keep_cartons(rows_of(self._conn, _CARTONS, codes))
        # One that is a carton has no pallet of its number.
        others = [code for code in codes if self._containers[code] is None]
        self._keep(_PALLETS, others)
        self._read_parents(others)

    def _keep(self, statements: Asking, codes: Sequence[str]) -> None:
        for row in rows_of(self._conn, statements, codes):
            self._containers[row[0]] = ContainerFact(*row)

    def _read_parents(self, codes: Sequence[str]) -> None:
        for row in rows_of(self._conn, _PARENTS, codes):
            self._parents[row[0]].append(NestFact(*row))
