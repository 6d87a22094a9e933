"""How many cartons of a pallet or lot to open, which, and what those opened so far showed.

Which ones is drawn once and kept as an entry (`CartonsDrawn`): a draw that could be made again could be waited out until
it is one that somebody likes. A check speaks of the cartons that were drawn from. One of the sample that leaves before
it was opened leaves the check unmet, and cartons that came since must be drawn too before it says anything of them. A
count is good while nothing has moved in or out of the carton since.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.facts.dock_stock import CartonCheck, CheckPlan
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.balance import CartonsDrawn
from tracelink.quality.zero_failure import zero_failure_n
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_ON_PALLET = text(
    "SELECT c.sscc FROM nesting n JOIN carton c ON c.sscc = n.child WHERE n.parent = :code "
    "AND n.closed_seq IS NULL ORDER BY c.sscc"
)
_OF_LOT = text(
    "SELECT c.sscc FROM stock k JOIN carton c ON c.sscc = k.place WHERE k.lot = :code AND k.quantity > 0 "
    "AND c.status = 'closed' AND NOT EXISTS (SELECT 1 FROM nesting n LEFT JOIN nesting m ON m.child = n.parent "
    "AND m.closed_seq IS NULL JOIN shipment d ON d.code IN (n.parent, m.parent) "
    "WHERE n.child = c.sscc AND n.closed_seq IS NULL AND d.status = 'shipped') ORDER BY c.sscc"
)
# A count of a set books one row per disc; the carton agrees if all of them do.
_CHECKS = text(
    "SELECT k.seq, MAX(k.off) AS off FROM ("
    "SELECT seq, ABS(recorded - counted) AS off FROM aggregation_check WHERE carton = :code UNION ALL "
    "SELECT seq, ABS(expected - quantity) FROM stock_count WHERE place = :code UNION ALL "
    "SELECT seq, ABS(expected - quantity) FROM mixed_count WHERE place = :code) k "
    "WHERE k.seq > (SELECT COALESCE(MAX(seq), 0) FROM movement WHERE source = :code OR target = :code) "
    "GROUP BY k.seq ORDER BY k.seq DESC LIMIT 1"
)


_DRAWN = text("SELECT carton, seq FROM carton_draw WHERE subject = :code ORDER BY rank")


def check_plan(conn: Connection, subject: str, confidence_percent: int, detect_percent: str) -> CheckPlan:
    """Return how many cartons of a pallet or lot to open, which were drawn for it, and what was found so far.

    Args:
        conn: a connection that reads one state.
        subject: the SSCC of a pallet, or a lot code.
        confidence_percent: 1 to 99.
        detect_percent: the share of wrong cartons to be spoken against, 0.1 to 99.9, a decimal number.

    Raises:
        UsageError: it is neither, holds no carton that could be opened and had none drawn, or a number is out of its
            range.
    """
    code, here = _cartons(conn, subject)
    drawn = conn.execute(_DRAWN, {"code": code}).all()
    known = [row.carton for row in drawn] or here
    if not known:
        raise UsageError(f"{code} has no closed carton in the plant that could be opened")
    wanted = zero_failure_n(Fraction(detect_percent) * 10, confidence_percent, len(known))
    # All are no sample: nothing is left to chance, and nobody need draw.
    sample = known[:wanted] if drawn or wanted == len(known) else []
    drawn_from, staying = set(known), set(here)
    return CheckPlan(
        subject=code,
        cartons=tuple(
            _check(conn, carton, is_drawn=carton in drawn_from, has_left=carton not in staying)
            for carton in sorted(drawn_from | staying)
        ),
        confidence_percent=confidence_percent,
        detect_percent=detect_percent,
        wanted=wanted,
        drawn_in=min((row.seq for row in drawn), default=None),
        sample=tuple(sample),
    )


def draw_cartons(booking: Booking, stamp: Stamp, subject: str) -> int:
    """Draw the cartons of a pallet or lot that were not drawn before; returns how many.

    Args:
        booking: the transaction.
        stamp: who and when.
        subject: the SSCC of a pallet, or a lot code.

    Raises:
        UsageError: it is neither.
        RefusedByRule: the person may not.
    """
    authorised(booking.queries, stamp.person, OfficeAct.DRAW_CARTONS)
    conn = booking.connection
    code, here = _cartons(conn, subject)
    before = {row.carton for row in conn.execute(_DRAWN, {"code": code})}
    new = tuple(carton for carton in here if carton not in before)
    if new:
        booking.record(CartonsDrawn(code, new), stamp)
    return len(new)


def _check(conn: Connection, carton: str, *, is_drawn: bool, has_left: bool) -> CartonCheck:
    row = conn.execute(_CHECKS, {"code": carton}).first()
    entry, agrees = (row.seq, row.off == 0) if row else (None, None)
    return CartonCheck(carton, entry, agrees, is_drawn, has_left)


def _cartons(conn: Connection, subject: str) -> tuple[str, list[str]]:
    if subject.isdigit():
        if SqlStationQueries(conn).pallet(subject) is None:
            raise UsageError(f"{subject} is not a pallet in the system: expected a pallet's SSCC or a lot")
        code, query = subject, _ON_PALLET
    else:
        parsed = PlantCode.parse(subject)
        if parsed.kind is not CodeKind.LOT:
            raise UsageError(f"{subject} is a {parsed.kind.noun}: expected a pallet's SSCC or a lot")
        code, query = parsed.text, _OF_LOT
    return code, list(conn.execute(query, {"code": code}).scalars())
