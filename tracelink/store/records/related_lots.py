"""Other lots that share something with the lots in question, so that a cause above this one would touch them."""

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection

from tracelink.facts.scope_records import RelatedLot
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.ledger.kinds.packing_changes import CartonsMerged
from tracelink.ledger.kinds.returns import CartonRestocked
from tracelink.ledger.kinds.warehouse import CartonRepacked
from tracelink.store.database.in_lists import of_codes, rows_of

_SHOWN = 6
"""Things named one by one in a cell; the rest is counted."""

SET_UP = "same press, set up next to it"
COMPOUND = "same compound lot"
LABEL = "same label issue"
REWORKED = "put back on a spindle"
REPACKED = "repacked or merged carton"
CARTON = "in one carton with it"
KIT = "same set or kit, in one carton with it"


# A set-up that pressed nothing touched no disc, so it shares nothing.
_ON_PRESS = of_codes(
    'SELECT press, lot, MIN(seq) AS seq FROM run_segment WHERE press IN :codes AND "last" >= "first" '
    "GROUP BY press, lot ORDER BY press, 3"
)
_COMPOUNDS = of_codes(
    "SELECT DISTINCT lot, compound AS through FROM run_segment WHERE compound IN :codes "
    'AND "last" >= "first" ORDER BY lot, 2'
)
_LABELS = of_codes(
    'SELECT lot, label_a AS through FROM run_segment WHERE label_a IN :codes AND "last" >= "first" '
    'UNION SELECT lot, label_b FROM run_segment WHERE label_b IN :codes AND "last" >= "first" ORDER BY 1, 2'
)
_BETWEEN = of_codes(
    "SELECT m.lot, m.seq, m.source, m.target, j.kind, o.lot AS other FROM movement m JOIN journal j ON j.seq = m.seq "
    "LEFT JOIN stock o ON o.place = m.target AND o.quantity > 0 AND o.lot <> m.lot "
    "WHERE m.lot IN :codes AND (EXISTS (SELECT 1 FROM carton c WHERE c.sscc = m.source) OR m.source = 'returned' "
    "OR m.source LIKE 'return %') AND (EXISTS (SELECT 1 FROM carton c WHERE c.sscc = m.target) "
    "OR EXISTS (SELECT 1 FROM spindle s WHERE s.code = m.target)) ORDER BY m.seq, m.line"
)
_TOGETHER = of_codes(
    "SELECT k.lot, k.place, (SELECT COUNT(*) FROM product_part q JOIN carton c ON c.gtin = q.gtin "
    "WHERE c.sscc = k.place) AS parts FROM stock k WHERE k.place IN :codes AND k.quantity > 0 ORDER BY k.lot, k.place"
)
_LOTS = of_codes(
    "SELECT l.code, p.title, l.counter FROM lot l JOIN product p ON p.gtin = l.gtin WHERE l.code IN :codes"
)


def related_lots(
    conn: Connection, lots: Sequence[str], segments: Iterable[SegmentFact], cartons: Sequence[str]
) -> tuple[RelatedLot, ...]:
    """Return the lots that share something with `lots`, by what they share.

    Args:
        conn: a connection.
        lots: the lots in question.
        segments: their segments with a disc that is suspected.
        cartons: cartons that can hold an affected disc.
    """
    through = _Through(set(lots))
    used = [segment for segment in segments if segment.strokes]
    _neighbours(conn, through, used)
    materials = (
        (COMPOUND, _COMPOUNDS, {segment.compound for segment in used}),
        (LABEL, _LABELS, {code for segment in used for code in (segment.label_a, segment.label_b)}),
    )
    for relation, query, codes in materials:
        for row in rows_of(conn, query, codes):
            through.add(row.lot, relation, row.through)
    for row in rows_of(conn, _BETWEEN, lots):
        _moved(through, row)
    for row in rows_of(conn, _TOGETHER, cartons):
        through.add(row.lot, KIT if row.parts > 1 else CARTON, row.place)
    known = {row.code: row for row in rows_of(conn, _LOTS, through.lots())}
    return tuple(through.lines(known))


class _Through:
    """Collects what each other lot shares."""

    def __init__(self, own: set[str]) -> None:
        self.own = own
        self._found: dict[tuple[str, str], dict[str, None]] = {}

    def add(self, lot: str, relation: str, through: str, *, own: bool = False) -> None:
        """Note a thing shared; a lot in question counts only where it is told of itself."""
        if own or lot not in self.own:
            self._found.setdefault((relation, lot), {})[through] = None

    def lots(self) -> list[str]:
        return list(dict.fromkeys(lot for _, lot in self._found))

    def lines(self, known: dict[str, Any]) -> Iterable[RelatedLot]:
        for (relation, lot), things in self._found.items():
            row = known.get(lot)
            yield RelatedLot(
                lot,
                "" if row is None else row.title,
                relation,
                _few(list(things)),
                0 if row is None else row.counter,
                lot in self.own,
            )


def _few(things: Sequence[str]) -> str:
    shown = ", ".join(things[:_SHOWN])
    return shown if len(things) <= _SHOWN else f"{shown} and {len(things) - _SHOWN} more"


def _neighbours(conn: Connection, through: _Through, used: Sequence[SegmentFact]) -> None:
    """The lots before and after on the same press: a set-up that drifted, or pellets left in it, reach them."""
    runs: dict[str, list[str]] = {}
    for row in rows_of(conn, _ON_PRESS, {segment.press for segment in used}):
        runs.setdefault(row.press, []).append(row.lot)
    for press, order in runs.items():
        for place, lot in enumerate(order):
            if lot in through.own:
                for other in order[max(0, place - 1) : place + 2]:
                    through.add(other, SET_UP, press)


def _moved(through: _Through, row: Any) -> None:
    to_carton = row.kind in (CartonsMerged.kind, CartonRepacked.kind, CartonRestocked.kind)
    relation = REPACKED if to_carton else REWORKED
    through.add(row.lot, relation, f"{row.source} to {row.target} (entry {row.seq})", own=True)
    if row.other is not None:
        through.add(row.other, relation, f"{row.target} (entry {row.seq})")
