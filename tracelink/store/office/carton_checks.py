"""How many cartons of a pallet or lot to open, which, and what those opened so far showed.

A check counts while nothing has moved in or out of the carton since. Cartons that have left are not among them:
they cannot be opened here.
"""

import random

from sqlalchemy import Connection, text

from tracelink.errors import UsageError
from tracelink.facts.dock_stock import CartonCheck, CheckPlan
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.quality.zero_failure import zero_failure_n
from tracelink.store.journal import journal
from tracelink.store.stations.answers import SqlStationQueries

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


def check_plan(conn: Connection, subject: str, confidence_percent: int, detect_permille: int) -> CheckPlan:
    """Return how many cartons of a pallet or lot to open, and what was found so far.

    Args:
        conn: a connection that reads one state.
        subject: the SSCC of a pallet, or a lot code.
        confidence_percent: 1 to 99.
        detect_permille: the share of wrong cartons to be spoken against, in thousandths, 1 to 999.

    Raises:
        UsageError: it is neither, holds no carton that could be opened, or a number is out of its range.
    """
    code, cartons = _cartons(conn, subject)
    checks = []
    for carton in cartons:
        row = conn.execute(_CHECKS, {"code": carton}).first()
        checks.append(CartonCheck(carton, row.seq if row else None, row.off == 0 if row else None))
    wanted = zero_failure_n(detect_permille, confidence_percent, len(checks))
    unopened = [check.carton for check in checks if check.entry is None]
    missing = max(0, wanted - (len(checks) - len(unopened)))
    # Drawn by the journal's head, so that nobody chooses and anybody can draw the same again.
    draw = random.Random(f"{code} {journal.head(conn).hash}")  # noqa: S311  a sample, not a secret
    chosen = tuple(sorted(draw.sample(unopened, missing)))
    return CheckPlan(code, tuple(checks), confidence_percent, detect_permille, wanted, chosen)


def _cartons(conn: Connection, subject: str) -> tuple[str, list[str]]:
    if subject.isdigit():
        if SqlStationQueries(conn).pallet(subject) is None:
            raise UsageError(f"{subject} is not a pallet of this ledger: expected a pallet's SSCC or a lot")
        code, query = subject, _ON_PALLET
    else:
        parsed = PlantCode.parse(subject)
        if parsed.kind is not CodeKind.LOT:
            raise UsageError(f"{subject} is a {parsed.kind.noun}: expected a pallet's SSCC or a lot")
        code, query = parsed.text, _OF_LOT
    found = list(conn.execute(query, {"code": code}).scalars())
    if not found:
        raise UsageError(f"{code} has no closed carton in the plant that could be opened")
    return code, found
