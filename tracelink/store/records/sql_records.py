"""The ledger as walks and containments see it: `genealogy.records.Records`, answered from SQL.

Matches that lie in the spool count like sealed ones: they appear as movements after the last entry, one for
each station, spindle and carton, so that a scope never misses what the line packed a moment ago.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import BindParameter, Connection, TextClause, bindparam, text

from tracelink.genealogy.model.facts import (
    ActFact,
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    MovementRow,
    MovementSums,
    NestFact,
    ReturnFact,
    SegmentFact,
    ShipmentFact,
    ToolFact,
    UnreadJudgement,
    row_of,
)
from tracelink.ledger.closed_sets import DiscPlace, is_return
from tracelink.store.assembly.part_records import (
    PartRecords,
    container_of_the_hall,
    followed_one_by_one,
    is_of_the_hall,
)
from tracelink.store.journal import journal
from tracelink.store.records.ahead.lot_sums import MOVEMENT, MovementsAhead, sums_of
from tracelink.store.records.ahead.lots_ahead import SEGMENT, LotsAhead
from tracelink.store.records.ahead.read_ahead import LookAhead
from tracelink.store.records.ahead.tools_ahead import ToolsAhead
from tracelink.store.records.settings import setting_with_source
from tracelink.store.statements import short_reads

_MOVEMENT = f"SELECT {MOVEMENT} FROM movement WHERE "  # noqa: S608  our own names
# The provisional movements of the spool; the group is what one sealed line of a run would be.
_SPOOLED = (
    "SELECT lot, COUNT(*) AS quantity, spindle, carton, MAX(at) AS at FROM spool WHERE spindle IS NOT NULL AND {} "
    "GROUP BY station, spindle, lot, carton ORDER BY station, spindle"
)

_MOVED_INTO = text(_MOVEMENT + "target = :code ORDER BY seq, line")
_ANY_SPOOLED = text("SELECT 1 AS one FROM spool WHERE spindle IS NOT NULL LIMIT 1")
_SPOOLED_OF = text(_SPOOLED.format("lot = :code"))
_SPOOLED_INTO = text(_SPOOLED.format("carton = :code"))
_CHILDREN = text(
    "SELECT child, parent, opened_seq, closed_seq FROM nesting WHERE parent = :code ORDER BY opened_seq"
)
_BATCH_CARTONS = text(
    "SELECT carton FROM carton_sleeve WHERE batch = :code UNION SELECT p.carton FROM spool p "
    "JOIN station s ON s.code = p.station WHERE p.carton IS NOT NULL AND s.desk LIKE :open ORDER BY 1"
)
_CARTON_BATCHES = text("SELECT batch FROM carton_sleeve WHERE carton = :code ORDER BY batch")
_RETURNS = text(
    "SELECT r.number, r.seq, r.mark FROM return_line r WHERE r.lot = :code AND r.carton IS NULL ORDER BY r.seq"
)
_NUMBERS_BACK = text(
    "SELECT carton FROM number_fate WHERE return_number = :code AND fate = 'returned' AND carton IS NOT NULL ORDER BY seq"
)
_AREA = text("SELECT area FROM station WHERE code = :code")
_PERSON = text("SELECT name FROM person WHERE code = :code")
_UNSEALED = text(
    "SELECT p.lot, p.spindle, p.carton, p.at FROM spool p JOIN station s ON s.code = p.station "
    "WHERE p.spindle IS NOT NULL AND (p.station = :code OR s.desk LIKE :signed) ORDER BY p.station, p.number"
)
_CHUNK = 500
"""Entries to one question; SQLite binds at most 32,766 values."""
_SEQS: BindParameter[Any] = bindparam("seqs", expanding=True)
_MOVED_IN = text(_MOVEMENT + "seq IN :seqs ORDER BY seq, line").bindparams(_SEQS)
_NESTED_IN = text(
    "SELECT child, parent, opened_seq, closed_seq FROM nesting WHERE opened_seq IN :seqs ORDER BY opened_seq"
).bindparams(_SEQS)
_SEGMENTS_BEGUN = text(
    f'SELECT {SEGMENT} FROM run_segment WHERE seq IN :seqs ORDER BY seq, lot, "first"'  # noqa: S608  our own names
).bindparams(_SEQS)
_EMPTIED = text('SELECT lot, "after" FROM hopper_emptied WHERE press = :code ORDER BY seq')
_NUMBERED = text("SELECT carton FROM numbered_sleeve WHERE gtin = :gtin AND number = :number")


_PLACES = {
    str(place): ContainerFact(str(place), str(place), "", "")
    for place in (DiscPlace.SET_UP, DiscPlace.RETURNED, DiscPlace.DESTROYED, DiscPlace.LOST)
}
"""Places that are no thing with a code; what is there is known by its lot."""


class SqlRecords(PartRecords):
    """Answers the questions of walks inside one transaction; each answer costs what the code touched."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        found = journal.head(conn)
        self._head = (found.seq, found.hash)
        self._ahead = LookAhead(conn)
        self._tools, self._lots = ToolsAhead(conn), LotsAhead(conn)
        self._moved = MovementsAhead(conn)
        self._is_spooling = bool(short_reads.rows(conn, _ANY_SPOOLED, {}))

    def _all(self, query: TextClause, code: str, **more: object) -> list[Any]:
        return short_reads.rows(self._conn, query, {"code": code, **more})

    def look_up(self, places: Iterable[str]) -> None:
        """Read containers and what they stand in ahead of the questions about them."""
        # An SSCC, as nearly all are, is none of the places that are no thing with a code.
        self._ahead.read(
            place
            for place in places
            if place.isdigit()
            or (place not in _PLACES and not is_return(place) and container_of_the_hall(place) is None)
        )

    def look_up_tools(self, tools: Iterable[str]) -> None:
        """Read tools, what was grown from them and their segments ahead of the questions about them."""
        self._tools.read(tools)

    def look_up_lots(self, lots: Iterable[str]) -> None:
        """Read lots, their segments and judgements ahead of the questions about them."""
        self._lots.read(lots)

    def look_up_moved(self, lots: Iterable[str]) -> None:
        """Read the movements of lots, and the cartons into which their discs went, ahead of the questions about them."""
        wanted = list(dict.fromkeys(lot for lot in lots if not is_of_the_hall(lot)))
        self._moved.read(wanted)
        self._ahead.read_filled(wanted)

    def tool(self, code: str) -> ToolFact | None:
        """The tool of that code."""
        return self._tools.tool(code)

    def children_of(self, tool: str) -> list[ToolFact]:
        """The tools grown directly from a tool, by code."""
        return self._tools.children_of(tool)

    def segments_with(self, code: str) -> list[SegmentFact]:
        """The segments that used a stamper, compound lot, label lot or press."""
        return self._tools.segments_with(code)

    def segments_of(self, lot: str) -> list[SegmentFact]:
        """The segments of a lot, by first stroke."""
        return self._lots.segments_of(lot)

    def lot(self, code: str) -> LotFact | None:
        """The lot of that code."""
        return self._assembled(code) if is_of_the_hall(code) else self._lots.lot(code)

    def movements_of(self, lot: str) -> list[MovementFact]:
        """Every movement of discs of a lot, by (seq, line); spooled matches last."""
        return [MovementFact(*row) for row in self.movement_rows(lot)]

    def movement_rows(self, lot: str) -> list[MovementRow]:
        """The same as rows."""
        if is_of_the_hall(lot):
            return [row_of(move) for move in self._part_movements(lot)]
        return self._moved.of(lot) + [row_of(move) for move in self._spooled(_SPOOLED_OF, lot)]

    def sums_of(self, lots: Sequence[str]) -> Mapping[str, MovementSums]:
        """The movements of some lots, summed up; of each lot that has any."""
        sums = dict(sums_of(self._conn, [lot for lot in lots if not is_of_the_hall(lot)]))
        return {**sums, **{lot: followed_one_by_one() for lot in lots if is_of_the_hall(lot)}}

    def returns_of(self, lot: str) -> list[ReturnFact]:
        """What was read off discs of a lot that came back without a carton, by seq."""
        return [
            ReturnFact(
                row.seq, row.mark, tuple(found.carton for found in self._all(_NUMBERS_BACK, row.number))
            )
            for row in self._all(_RETURNS, lot)
        ]

    def movements_into(self, place: str) -> list[MovementFact]:
        """Every movement into a place, of any lot, by (seq, line); spooled matches last."""
        sealed = [MovementFact(*row) for row in short_reads.tuples(self._conn, _MOVED_INTO, {"code": place})]
        return sealed + self._parts_into(place) + self._spooled(_SPOOLED_INTO, place)

    def _spooled(self, query: TextClause, code: str) -> list[MovementFact]:
        if not self._is_spooling:
            return []
        seq = self._head[0] + 1
        return [
            MovementFact(seq, line, row.lot, row.quantity, row.spindle, row.carton, None, None, row.at)
            for line, row in enumerate(self._all(query, code))
        ]

    def parents_of(self, code: str) -> list[NestFact]:
        """Where a carton or pallet is and was nested, ended nestings too."""
        return self._ahead.parents_of(code)

    def children_in(self, code: str) -> list[NestFact]:
        """What is and was nested in a pallet or shipment, ended nestings too."""
        return [NestFact(*row) for row in self._all(_CHILDREN, code)]

    def judgements_of(self, lot: str) -> list[JudgementFact]:
        """The lab's judgements on discs of a lot, those that stand; of a reel or build order those on units with some of it."""
        return self._hall_judged(lot) if is_of_the_hall(lot) else self._lots.judgements_of(lot)

    def judged_unread(self, lot: str) -> list[UnreadJudgement]:
        """The lab's judgements on samples of a lot whose stroke nobody knows, those that stand."""
        return self._hall_unread(lot) if is_of_the_hall(lot) else self._lots.judged_unread(lot)

    def container(self, code: str) -> ContainerFact | None:
        """The container of that code."""
        if code.isdigit():
            return self._ahead.container(code)
        if code in _PLACES:
            return _PLACES[code]
        if is_return(code):
            return ContainerFact(code, DiscPlace.QUARANTINE, "", code)
        return container_of_the_hall(code) or self._ahead.container(code)

    def sleeve_batch_cartons(self, batch: str) -> list[str]:
        """The cartons into which sleeves of a batch went."""
        return [row.carton for row in self._all(_BATCH_CARTONS, batch, open=f'%"batch":"{batch}"%')]

    def carton_batches(self, sscc: str) -> list[str]:
        """The sleeve batches that went into a carton."""
        return [row.batch for row in self._all(_CARTON_BATCHES, sscc)]

    def shipment(self, code: str) -> ShipmentFact | None:
        """The shipment of that code."""
        return self._ahead.shipment(code)

    def station_area(self, code: str) -> str | None:
        """What kind of station this is, such as press or line; None if it is not a station."""
        return next((str(row.area) for row in self._all(_AREA, code)), None)

    def person_name(self, badge: str) -> str | None:
        """The name of the owner of a badge; None if the code is not a badge."""
        return next((str(row.name) for row in self._all(_PERSON, badge)), None)

    def acts_at(self, station: str) -> list[ActFact]:
        """Every entry of a station, in journal order."""
        return self._acts("station", station)

    def acts_by(self, badge: str) -> list[ActFact]:
        """Every entry of the person signed on with a badge, in journal order."""
        return self._acts("person", badge)

    def _acts(self, field: str, code: str) -> list[ActFact]:
        from tracelink.store.records.entries_by_actor import acts_with  # noqa: PLC0415  the journal, for a rare question

        return acts_with(self._conn, field, code)

    def unsealed(self, code: str) -> list[MovementFact]:
        """The matches of a station or a badge that lie in the spool, one movement each, with its own time."""
        seq = self._head[0] + 1
        return [
            MovementFact(seq, line, row.lot, 1, row.spindle, row.carton, None, None, row.at)
            for line, row in enumerate(self._all(_UNSEALED, code, signed=f'%"person":"{code}"%'))
        ]

    def movements_in(self, seqs: Sequence[int]) -> list[MovementFact]:
        """The movements of some entries, by (seq, line)."""
        return [MovementFact(*row) for row in self._of(_MOVED_IN, seqs)]

    def nests_in(self, seqs: Sequence[int]) -> list[NestFact]:
        """The nestings that some entries opened."""
        return [NestFact(*row) for row in self._of(_NESTED_IN, seqs)]

    def segments_begun(self, seqs: Sequence[int]) -> list[SegmentFact]:
        """The segments that some entries began."""
        return [SegmentFact(*row) for row in self._of(_SEGMENTS_BEGUN, seqs)]

    def _of(self, query: TextClause, seqs: Sequence[int]) -> list[Any]:
        found: list[Any] = []
        for start in range(0, len(seqs), _CHUNK):
            found += self._conn.execute(query, {"seqs": list(seqs[start : start + _CHUNK])}).all()
        return found

    def setting(self, name: str) -> int:
        """A limit or trade number of the plant, its default if it was never set."""
        return setting_with_source(self._conn, name).value

    def press_setting(self, name: str, press: str) -> int:  # noqa: ARG002  all presses of a ledger are of one plant
        """A trade number of the plant that has a press, its default if it was never set."""
        return self.setting(name)

    def emptied(self, press: str) -> list[tuple[str, int]]:
        """(lot, last stroke before) of each recorded emptying of a press's hopper, in journal order."""
        return [(row.lot, row.after) for row in self._all(_EMPTIED, press)]

    def head(self) -> tuple[int, str]:
        """The last journal sequence the answers include, and its hash."""
        return self._head

    def carton_of_number(self, gtin: str, number: str) -> str | None:
        """The carton into which a numbered sleeve went."""
        found = self._conn.execute(_NUMBERED, {"gtin": gtin, "number": number}).first()
        return None if found is None else str(found.carton)
