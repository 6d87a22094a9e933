"""Suspect discs that are still in the plant: what stops each of them, asked the way the stations ask.

"Nothing suspect can ship" is an answer of the records, so it is a query with rows and no sentence. A row is
what can hold an affected disc and has not left: free is what no hold stops and no rule of the floor bars.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from sqlalchemy import Connection, text

from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace, LotDecision
from tracelink.store.database.in_lists import text_list
from tracelink.store.stations import holds

_DECISIONS = text("SELECT code, decision FROM lot WHERE code IN :lots").bindparams(text_list("lots"))
_HELD_STROKES = text(
    'SELECT h.code, i."first", i."last" FROM hold_item i JOIN hold h ON h.code = i.hold '
    'WHERE h.lifted_seq IS NULL AND i.subject = :lot AND i."first" IS NOT NULL ORDER BY h.seq, i.line'
)
_BARRED_PLACES: Mapping[str, str] = {
    DiscPlace.DESTROYED: "booked as destroyed",
    DiscPlace.LOST: "booked as lost",
    DiscPlace.SET_UP: "scrapped at set-up",
    DiscPlace.RETURNED: "came back; the dock restocks only after inspection",
    DiscPlace.QUARANTINE: "in quarantine; the dock restocks only after inspection",
}
_BARRED_STATUS: Mapping[str, str] = {
    CartonStatus.BROKEN: "broken carton; the dock takes only closed ones",
    CartonStatus.RETURNED: "came back; the dock restocks only after inspection",
    CartonStatus.DESTROYED: "booked as destroyed",
}


def in_plant(conn: Connection, scope: Scope) -> list[InPlant]:
    """Return everything in the plant that can hold an affected disc, what is free first.

    Args:
        conn: a connection, at the same journal head as the scope.
        scope: a containment.
    """
    found = [held for held in scope.containers if held.most and not held.shipped]
    lots = list(dict.fromkeys([held.lot for held in found] + [tier.lot for tier in scope.tiers]))
    decisions = _decisions(conn, lots)
    asked = _Holds(conn)
    rows = [_row(held, asked.on(held), decisions.get(held.lot, "")) for held in found]
    rows += _at_the_press(conn, scope, lots)
    return sorted(rows, key=lambda row: (not row.is_free, row.kind, row.code, row.lot))


class _Holds:
    """Looks holds up as the stations do; pallets and shipments once each."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._outer: dict[str, str | None] = {}

    def on(self, held: ContainerBound) -> str | None:
        """The hold on a container, on what is in it, or on what it stands in."""
        return self._own(held) or next((hold for hold in map(self._around, held.parents) if hold), None)

    def _own(self, held: ContainerBound) -> str | None:
        notice = holds.on_things(self._conn, [held.code, held.lot])
        if notice is None and held.kind == "carton":
            notice = holds.on_carton(self._conn, held.code)
        if notice is None and held.kind == "spindle":
            made = holds.stack(self._conn, held.code)
            notice = None if made is None else holds.on_spindle(self._conn, held.code, made)
        return None if notice is None else notice.hold

    def _around(self, code: str) -> str | None:
        if code not in self._outer:
            # Named itself: what stands beside a carton on its pallet may be held without holding the carton.
            notice = holds.on_things(self._conn, [code])
            self._outer[code] = None if notice is None else notice.hold
        return self._outer[code]


def _decisions(conn: Connection, lots: Sequence[str]) -> dict[str, str]:
    if not lots:
        return {}
    return {row.code: row.decision for row in conn.execute(_DECISIONS, {"lots": list(lots)})}


def _row(held: ContainerBound, hold: str | None, decision: str) -> InPlant:
    return InPlant(
        held.code,
        held.kind,
        held.status,
        held.lot,
        held.pieces,
        held.least,
        held.most,
        held.parents,
        hold,
        _bar(held, decision),
    )


def _bar(held: ContainerBound, decision: str) -> str:
    if held.kind in _BARRED_PLACES:
        return _BARRED_PLACES[held.kind]
    if held.kind == "sample":
        return "a sample of the lab; no line packs it"
    if held.kind == "carton" and held.status in _BARRED_STATUS:
        return _BARRED_STATUS[held.status]
    if decision == LotDecision.REJECTED:
        return f"lot {held.lot} is rejected"
    if held.kind == "carton" and decision == LotDecision.PENDING:
        # A spindle of such a lot may still be packed, so it is not barred.
        return f"lot {held.lot} is not released; the dock takes only released lots"
    return ""


def _at_the_press(conn: Connection, scope: Scope, lots: Iterable[str]) -> Iterator[InPlant]:
    """Suspect discs that no movement took on: held if every suspect stroke of their lots is."""
    there = scope.holdings.bound([DiscPlace.COUNTER])
    if not there.most:
        return
    suspect = {lot: _suspect(scope, lot) for lot in lots}
    suspect = {lot: strokes for lot, strokes in suspect.items() if strokes}
    held = [_hold_on_strokes(conn, lot, strokes) for lot, strokes in suspect.items()]
    hold = None if None in held else next(iter(held), None)
    named = ", ".join(suspect)
    yield InPlant(
        DiscPlace.COUNTER, DiscPlace.COUNTER, "", named, there.pieces, there.least, there.most, (), hold, ""
    )


def _suspect(scope: Scope, lot: str) -> StrokeSet:
    found = NO_STROKES
    for tier in scope.tiers:
        if tier.lot == lot and tier.name is not TierName.CLEARED:
            found |= tier.strokes
    return found


def _hold_on_strokes(conn: Connection, lot: str, suspect: StrokeSet) -> str | None:
    """The hold on the lot, or the first of those that together name every suspect stroke; None if none do."""
    whole = holds.on_things(conn, [lot])
    if whole is not None:
        return whole.hold
    rows = conn.execute(_HELD_STROKES, {"lot": lot}).all()
    named = NO_STROKES
    for row in rows:
        named |= StrokeSet.between(row.first, row.last)
    return str(rows[0].code) if rows and not suspect - named else None
