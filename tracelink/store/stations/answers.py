"""The ledger as stations see it: `station.common.queries.StationQueries`, answered from SQL.

One `SqlStationQueries` lives for one transaction. What is set up is written once, and changed by entries of its own:
what was found of it is kept in `Known`, which may outlive the transaction (`answers_plant.py`); everything that scans
change is asked anew, and so is whatever was not found.
"""

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import Connection, Row, text

from tracelink.errors import UsageError
from tracelink.identity.matrix import MatrixGrammar
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import ToolStatus
from tracelink.ledger.kinds.press import Mounted
from tracelink.station.common import station_facts
from tracelink.store.assembly.answers_assembly import AssemblyAnswers
from tracelink.store.statements import kept_rows, short_reads
from tracelink.store.stations.answers_access import AccessAnswers
from tracelink.store.stations.answers_balance import BalanceAnswers
from tracelink.store.stations.answers_dock import DockAnswers
from tracelink.store.stations.answers_lab import LabAnswers
from tracelink.store.stations.answers_labels import LabelAnswers
from tracelink.store.stations.answers_line import LineAnswers
from tracelink.store.stations.answers_plant import Known, PlantAnswers
from tracelink.store.stations.answers_press import PressAnswers
from tracelink.store.stations.answers_process import ProcessAnswers
from tracelink.store.stations.answers_stock import StockAnswers
from tracelink.store.stations.unwritten_spool import waiting_on

_Row = Row[*tuple[Any, ...]]

_GRAMMAR = text("SELECT matrix_pattern, matrix_example FROM plant")
_PREFIX = text("SELECT company_prefix FROM plant")
_SIDE = text("SELECT matrix_a FROM product_part WHERE matrix_a = :matrix OR matrix_b = :matrix")
_TOOL = text("SELECT code, what, side, matrix, status FROM tool WHERE code = :code")
_LIFE = text(
    'SELECT COALESCE(SUM("last" - "first" + 1), 0) FROM run_segment WHERE stamper_a = :code OR stamper_b = :code'
)
_MOUNTED_ON = text(
    "SELECT l.press FROM lot l JOIN run_segment s ON s.lot = l.code WHERE l.status IN ('set up', 'running') "
    'AND (s.stamper_a = :code OR s.stamper_b = :code) AND s."first" = '
    '(SELECT MAX(t."first") FROM run_segment t WHERE t.lot = l.code)'
)
_MATERIAL = text("SELECT code, what, gtin, piece, side FROM material WHERE code = :code")
_LOT = text("SELECT code, gtin, piece, planned, status, decision, counter, press FROM lot WHERE code = :code")
_SEGMENT = text('SELECT * FROM run_segment WHERE lot = :code ORDER BY "first" DESC LIMIT 1')
_LAST_SPINDLE = text("SELECT code FROM spindle WHERE lot = :code ORDER BY seq DESC LIMIT 1")
_LOT_ON = text("SELECT code FROM lot WHERE press = :press AND status IN ('set up', 'running')")
_MOVED = text(
    'SELECT "first", "last" FROM movement WHERE lot = :lot AND source = \'counter\' '
    'AND "first" <= :last AND "last" >= :first ORDER BY "first"'
)
_SPINDLE = text(
    "SELECT s.code, s.lot, s.at, l.gtin, l.piece, l.decision, "
    "COALESCE((SELECT k.quantity FROM stock k WHERE k.place = s.code AND k.lot = s.lot), 0) AS quantity "
    "FROM spindle s JOIN lot l ON l.code = s.lot WHERE s.code = :code"
)
_WAITING_ON = text("SELECT COUNT(*) AS discs FROM spool WHERE spindle = :code")
_SPINDLE_WITH = text(
    "SELECT target FROM movement WHERE lot = :lot AND source = 'counter' "
    'AND "first" <= :stroke AND "last" >= :stroke'
)
_SAMPLE = text(
    "SELECT s.code, s.lot, s.stroke, j.seq, j.defect FROM sample s LEFT JOIN judgement j ON j.sample = s.code "
    "AND j.corrected_by IS NULL WHERE s.code = :code"
)
_JUDGED = text(
    "SELECT COUNT(*) AS judged, COALESCE(SUM(CASE WHEN j.good = 0 AND w.sample IS NULL AND NOT EXISTS "
    '(SELECT 1 FROM rejected_strokes p WHERE p.lot = s.lot AND s.stroke BETWEEN p."first" AND p."last") '
    "THEN 1 ELSE 0 END), 0) AS bad FROM judgement j JOIN sample s ON s.code = j.sample "
    "LEFT JOIN sample_waiver w ON w.sample = s.code WHERE s.lot = :lot AND j.corrected_by IS NULL"
)
_SAMPLE_AT = text("SELECT code FROM sample WHERE lot = :lot AND stroke = :stroke")
_NEXT = {
    "H": text("SELECT COUNT(*) FROM hold"),
    "D": text("SELECT COUNT(*) FROM shipment"),
}
_KNOWN = text(
    "SELECT 1 FROM tool WHERE code = :code UNION ALL SELECT 1 FROM lot WHERE code = :code "
    "UNION ALL SELECT 1 FROM spindle WHERE code = :code UNION ALL SELECT 1 FROM sample WHERE code = :code "
    "UNION ALL SELECT 1 FROM material WHERE code = :code UNION ALL SELECT 1 FROM sleeve_batch WHERE code = :code "
    "UNION ALL SELECT 1 FROM kit_item WHERE code = :code "
    "UNION ALL SELECT 1 FROM carton WHERE sscc = :code UNION ALL SELECT 1 FROM pallet WHERE sscc = :code "
    "UNION ALL SELECT 1 FROM shipment WHERE code = :code UNION ALL SELECT 1 FROM station WHERE code = :code "
    "UNION ALL SELECT 1 FROM equipment WHERE code = :code UNION ALL SELECT 1 FROM step WHERE code = :code "
    "UNION ALL SELECT 1 FROM part_lot WHERE code = :code UNION ALL SELECT 1 FROM reel WHERE code = :code "
    "UNION ALL SELECT 1 FROM build WHERE code = :code UNION ALL SELECT 1 FROM piece WHERE code = :code LIMIT 1"
)


class SqlStationQueries(
    PlantAnswers,
    StockAnswers,
    LabelAnswers,
    LineAnswers,
    DockAnswers,
    BalanceAnswers,
    PressAnswers,
    LabAnswers,
    AccessAnswers,
    ProcessAnswers,
    AssemblyAnswers,
):
    """Answers the questions of stations inside one transaction."""

    def __init__(
        self,
        conn: Connection,
        known: Known | None = None,
        pin_key: Callable[[], bytes | None] = lambda: None,
    ) -> None:
        self._conn = conn
        self._pin_key = pin_key
        self._known: Known = {} if known is None else known
        self.read_last: dict[str, station_facts.LastScan] = {}
        self.since_entry: dict[tuple[str, ...], Any] = {}

    def matrix_grammar(self) -> MatrixGrammar:
        """How this plant writes matrix numbers."""
        row = self._first(_GRAMMAR)
        if row is None:
            raise UsageError("this ledger has no plant: make one with `runout init`")
        return MatrixGrammar(row.matrix_pattern, row.matrix_example)

    def side_of_matrix(self, matrix: str) -> str | None:
        """The side of a product's disc that carries this matrix number; None if no product names it."""
        row = self._first(_SIDE, matrix=matrix)
        return None if row is None else ("A" if row.matrix_a == matrix else "B")

    def tool(self, code: str) -> station_facts.Tool | None:
        """A tool."""
        row = self._first(_TOOL, code=code)
        if row is None:
            return None
        life = int(self._scalars(_LIFE, code=code)[0])
        return station_facts.Tool(
            row.code, row.what, row.side, row.matrix, row.status == ToolStatus.RETIRED, life
        )

    def tool_mounted_on(self, code: str) -> str | None:
        """The press on which a lot runs with this stamper now."""
        row = self._first(_MOUNTED_ON, code=code)
        return None if row is None else str(row.press)

    def material(self, code: str) -> station_facts.Material | None:
        """A compound or label lot."""
        row = self._first(_MATERIAL, code=code)
        return None if row is None else station_facts.Material(*row)

    def lot(self, code: str) -> station_facts.Lot | None:
        """A lot."""
        row = self._first(_LOT, code=code)
        if row is None:
            return None
        segment = self._first(_SEGMENT, code=code)
        last_spindle = self._first(_LAST_SPINDLE, code=code)
        return station_facts.Lot(
            code=row.code,
            part=self._part(row.gtin, row.piece),
            status=row.status,
            decision=row.decision,
            counter=row.counter,
            planned=row.planned,
            press=row.press,
            segment=None if segment is None else segment.first,
            mounted=None if segment is None else _mounted(segment),
            last_spindle=None if last_spindle is None else last_spindle.code,
        )

    def _part(self, gtin: str, piece: int) -> station_facts.PartFact:
        return next(part for part in self.parts(gtin) if part.piece == piece)

    def lot_on(self, press: str) -> station_facts.Lot | None:
        """The lot set up or running on a press."""
        row = self._first(_LOT_ON, press=press)
        return None if row is None else self.lot(row.code)

    def strokes_moved(self, lot: str, first: int, last: int) -> Sequence[tuple[int, int]]:
        """Stroke ranges inside first ... last that have left the press counter already, in order."""
        found = self._all(_MOVED, lot=lot, first=first, last=last)
        return [(row.first, row.last) for row in found]

    def spindle(self, code: str) -> station_facts.Spindle | None:
        """A spindle with its discs."""
        row = self._until_entry(("spindle", code), lambda: self._first(_SPINDLE, code=code))
        if row is None:
            return None
        part = self._part(row.gtin, row.piece)
        remaining = int(row.quantity) - self._waiting_on(code)
        return station_facts.Spindle(row.code, row.lot, part, remaining, row.at, row.decision)

    def _waiting_on(self, code: str) -> int:
        """Return how many discs of a spindle are matched and not sealed into an entry yet."""
        written: int = self._until_entry(waiting_on(code), lambda: self._find_waiting_on(code))
        keeping = kept_rows.of(self._conn)
        if keeping is None or keeping.unwritten is None:
            return written
        return written + keeping.unwritten.on_spindle(code)

    def _find_waiting_on(self, code: str) -> int:
        [row] = short_reads.kept_as_written(self._conn, _WAITING_ON, {"code": code})
        return int(row.discs)

    def spindle_with(self, lot: str, stroke: int) -> str | None:
        """The spindle onto which this stroke was stacked."""
        row = self._first(_SPINDLE_WITH, lot=lot, stroke=stroke)
        return None if row is None else str(row.target)

    def sample(self, code: str) -> station_facts.Sample | None:
        """A sample."""
        row = self._first(_SAMPLE, code=code)
        return None if row is None else station_facts.Sample(*row)

    def judged(self, lot: str) -> tuple[int, int]:
        """How many samples of a lot have a standing judgement, and how many of those are bad."""
        row = self._first(_JUDGED, lot=lot)
        assert row is not None
        return int(row.judged), int(row.bad)

    def sample_at(self, lot: str, stroke: int) -> str | None:
        """The tag of a sample drawn at this stroke before."""
        row = self._first(_SAMPLE_AT, lot=lot, stroke=stroke)
        return None if row is None else str(row.code)

    def _company_prefix(self) -> str:
        return str(self._keep("plant", "company_prefix", lambda: self._scalars(_PREFIX)[0]))

    def _lots(self, codes: Sequence[str]) -> list[station_facts.Lot]:
        return [lot for lot in map(self.lot, codes) if lot is not None]

    def is_known(self, code: str) -> bool:
        """Return whether the ledger knows this code as any kind of thing."""
        if code.startswith("(01)0"):
            gtin, _, number = code[5:].partition("(21)")
            return self.number_use(gtin, number) is not None
        return self._first(_KNOWN, code=code) is not None

    def next_code(self, letter: str) -> str:
        """A new plant code of a kind that the ledger hands out itself: H hold, D shipment."""
        count = int(self._scalars(_NEXT[letter])[0])
        return PlantCode.build(CodeKind(letter), count + 1).text


def _mounted(row: _Row) -> Mounted:
    return Mounted(
        row.press,
        row.stamper_a,
        row.stamper_b,
        row.life_a,
        row.life_b,
        row.compound,
        row.label_a,
        row.label_b,
    )
