"""What label balances and the reconciliation of numbers are made from, read from SQL in one transaction."""

from bisect import bisect
from typing import Any

from sqlalchemy import Connection, text

from tracelink.balance.labels import LabelRecords, SerialRecords
from tracelink.errors import InvalidFormat, UsageError
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import NumberState
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.line import SleevesOpened
from tracelink.station import station_states
from tracelink.station.line.state import LineState
from tracelink.store.compact.stored_rows import entries_said
from tracelink.store.database.in_lists import text_list
from tracelink.store.records.entries_by_actor import stored_of_kinds
from tracelink.store.stations.answers import SqlStationQueries

_PREFIX = text("SELECT company_prefix FROM plant")
_BATCH = text(
    "SELECT b.gtin, b.quantity, b.first_number, b.last_number, p.numbered FROM sleeve_batch b "
    "JOIN product p ON p.gtin = b.gtin WHERE b.code = :code"
)
_SLEEVED = text("SELECT COALESCE(SUM(units), 0) FROM carton_sleeve WHERE batch = :code")
_LINES = text("SELECT desk FROM station WHERE area = 'line'")
_LABEL = text("SELECT 1 FROM material WHERE code = :code AND what = 'label'")
_PRESSED = text(
    'SELECT COALESCE(SUM("last" - "first" + 1), 0) FROM run_segment WHERE label_a = :code OR label_b = :code'
)
_FATES = text("SELECT fate, SUM(quantity) FROM label_count WHERE subject = :code GROUP BY fate")
_BLOCK = text(
    "SELECT what, extension, first_serial, last_serial FROM sscc_block WHERE extension = :extension "
    "AND first_serial <= :serial AND last_serial >= :serial"
)
_IN_USE = text(
    "SELECT COUNT(*) FROM (SELECT sscc FROM carton WHERE sscc BETWEEN :first AND :last "
    "UNION ALL SELECT sscc FROM pallet WHERE sscc BETWEEN :first AND :last) used"
)
_RETURNS = text(
    "SELECT first_serial, last_serial FROM sscc_return WHERE extension = :extension "
    "AND first_serial <= :last AND last_serial >= :first"
)
_VOID_BETWEEN = text(
    "SELECT COUNT(*) FROM void_label WHERE length(subject) = 18 AND subject BETWEEN :first AND :last"
)
_ISSUED = text("SELECT number FROM issued_number WHERE batch = :code")
_NUMBERS = text("SELECT number FROM numbered_sleeve WHERE batch = :code")
_FATES_OF = text(
    "SELECT f.number, f.fate FROM number_fate f WHERE f.gtin = :gtin AND f.seq = "
    "(SELECT MAX(g.seq) FROM number_fate g WHERE g.gtin = f.gtin AND g.number = f.number)"
)
_SPOOLED = text(
    "SELECT p.sleeve_number FROM spool p JOIN carton c ON c.sscc = p.carton "
    "WHERE p.sleeve_number IS NOT NULL AND c.gtin = :gtin"
)
_VOIDED = text("SELECT subject FROM void_label WHERE subject LIKE :label")
_SEEN = text("SELECT DISTINCT subject FROM finding WHERE finding = :finding AND subject LIKE :label")
_WRONG = text(
    "SELECT seq, station, found FROM finding WHERE finding IN :codes AND station IS NOT NULL AND found <> ''"
).bindparams(text_list("codes"))


def label_records(conn: Connection, subject: str) -> LabelRecords:
    """Return what was recorded of a batch of labels.

    Args:
        conn: a connection that reads one state.
        subject: a sleeve batch, a label lot, or any SSCC of a block.

    Raises:
        UsageError: it is of another kind, or unknown.
    """
    if subject.isdigit():
        return _block(conn, subject)
    code = PlantCode.parse(subject)
    if code.kind is CodeKind.SLEEVE_BATCH:
        return _sleeves(conn, code.text)
    if code.kind is CodeKind.LABEL_LOT:
        return _labels(conn, code.text)
    raise UsageError(f"{code.text} is a {code.kind.noun}: expected a lot, sleeve batch, label lot or SSCC")


def _sleeves(conn: Connection, code: str) -> LabelRecords:
    row = _batch(conn, code)
    counted = _counted(conn, code)
    printed = counted.pop("printed", None)
    used = int(conn.execute(_SLEEVED, {"code": code}).scalar_one()) + _on_lines(conn, code)
    fates = {"used": used, **counted}
    if row.first_number is not None:
        # The number is printed on the sleeve: a void number is a sleeve that is gone.
        fates["void"] = len(_void_numbers(conn, row.gtin) & _issued(conn, code, row))
    limit = _limit(conn, serialised=bool(row.numbered))
    return LabelRecords(code, int(row.quantity), fates, *limit, printed=printed)


def _labels(conn: Connection, code: str) -> LabelRecords:
    if conn.execute(_LABEL, {"code": code}).first() is None:
        raise UsageError(f"label lot {code} is not in the system")
    counted = _counted(conn, code)
    issued = counted.pop("printed", None)
    used = int(conn.execute(_PRESSED, {"code": code}).scalar_one())
    uncertain = SqlStationQueries(conn).setting("label_weighing_permille")
    return LabelRecords(code, issued, {"used": used, **counted}, *_limit(conn, serialised=False), uncertain)


def _block(conn: Connection, sscc: str) -> LabelRecords:
    prefix = str(conn.execute(_PREFIX).scalar_one())
    try:
        serial = Sscc.parse(sscc).serial_reference(len(prefix))
    except InvalidFormat as problem:
        raise UsageError(str(problem)) from None
    block = conn.execute(_BLOCK, {"extension": sscc[0], "serial": serial}).first()
    if block is None or sscc[1 : 1 + len(prefix)] != prefix:
        raise UsageError(f"SSCC {sscc} was never issued here")
    first, last = (
        str(Sscc.build(block.extension, prefix, end)) for end in (block.first_serial, block.last_serial)
    )
    ends = {"first": first, "last": last}
    returns = conn.execute(
        _RETURNS, {"extension": block.extension, "first": block.first_serial, "last": block.last_serial}
    )
    back = sum(
        min(row.last_serial, block.last_serial) - max(row.first_serial, block.first_serial) + 1
        for row in returns
    )
    fates = {
        "used": int(conn.execute(_IN_USE, ends).scalar_one()),
        "returned": back,
        "void": int(conn.execute(_VOID_BETWEEN, ends).scalar_one()),
        **_counted(conn, first),
    }
    issued = block.last_serial - block.first_serial + 1
    return LabelRecords(first, issued, fates, *_limit(conn, serialised=True))


def serial_records(conn: Connection, code: str) -> SerialRecords | None:
    """Return what was recorded of a sleeve batch's numbers; None when its edition has none."""
    row = _batch(conn, code)
    if not row.numbered:
        return None
    issued = _issued(conn, code, row)
    sealed = conn.execute(_NUMBERS, {"code": code}).scalars()
    # A spooled scan does not name its batch, but no number of an edition is in two batches.
    spooled = conn.execute(_SPOOLED, {"gtin": row.gtin}).scalars()
    packed = (*sealed, *(number for number in spooled if number in issued))
    fates = {found.number: found.fate for found in conn.execute(_FATES_OF, {"gtin": row.gtin})}
    # What came back stays in its carton's list; a number that is free again is used once it is packed again.
    gone = {number for number, fate in fates.items() if fate in (NumberState.RETURNED, NumberState.DESTROYED)}
    back = {
        n
        for n, fate in fates.items()
        if fate == NumberState.RETURNED or (fate == NumberState.FREE and n not in packed)
    }
    destroyed = {number for number, fate in fates.items() if fate == NumberState.DESTROYED}
    used = tuple(number for number in packed if number not in gone)
    ends = None if row.first_number is None else (int(row.first_number), int(row.last_number))
    return SerialRecords(
        batch=code,
        issued=frozenset(issued),
        used=used,
        void=frozenset(_void_numbers(conn, row.gtin) & issued),
        returned=frozenset(back & issued),
        destroyed=frozenset(destroyed & issued),
        seen_destroyed=tuple(_seen(conn, FindingCode.DESTROYED_NUMBER, row.gtin) & issued),
        seen_twice=tuple(_seen(conn, FindingCode.DUPLICATE_NUMBER, row.gtin) & issued),
        seen_void=tuple(_seen(conn, FindingCode.VOID_LABEL, row.gtin) & issued),
        seen_strange=tuple(_seen_at_lines(conn, code) - issued),
        in_order=ends,
    )


def _batch(conn: Connection, code: str) -> Any:
    row = conn.execute(_BATCH, {"code": code}).first()
    if row is None:
        raise UsageError(f"sleeve batch {code} is not in the system")
    return row


def _issued(conn: Connection, code: str, row: Any) -> set[str]:
    if row.first_number is not None:
        return {str(number) for number in range(row.first_number, row.last_number + 1)}
    return {str(number) for number in conn.execute(_ISSUED, {"code": code}).scalars()}


def _void_numbers(conn: Connection, gtin: str) -> set[str]:
    label = numbered_label(gtin, "")
    return {
        subject.removeprefix(label) for subject in conn.execute(_VOIDED, {"label": label + "%"}).scalars()
    }


def _seen(conn: Connection, finding: str, gtin: str) -> set[str]:
    label = numbered_label(gtin, "")
    found = conn.execute(_SEEN, {"finding": finding, "label": label + "%"}).scalars()
    return {subject.removeprefix(label) for subject in found}


_REFUSED_NUMBERS = (FindingCode.WRONG_NUMBER.value, FindingCode.LOST_SEPARATOR.value)
"""Findings whose `found` is the number of a sleeve that was refused."""


def _seen_at_lines(conn: Connection, code: str) -> set[str]:
    """Numbers that a line refused while it packed sleeves of this batch: the batch opened there last before."""
    opened: dict[str, tuple[list[int], list[str]]] = {}
    for entry in entries_said(stored_of_kinds(conn, [SleevesOpened.kind])):
        seqs, batches = opened.setdefault(str(entry.stamp.station), ([], []))
        seqs.append(entry.seq)
        batches.append(entry.body["batch"])
    found = set()
    for row in conn.execute(_WRONG, {"codes": _REFUSED_NUMBERS}):
        seqs, batches = opened.get(row.station, ([], []))
        place = bisect(seqs, row.seq)
        if place and batches[place - 1] == code:
            found.add(row.found)
    return found


def _on_lines(conn: Connection, code: str) -> int:
    """Finished sleeves of a batch whose matches lie in a spool and are not sealed yet."""
    states = [station_states.read_state("line", text) for text in conn.execute(_LINES).scalars()]
    return sum(
        state.run.units
        for state in states
        if isinstance(state, LineState) and state.job and state.job.batch == code
    )


def _counted(conn: Connection, code: str) -> dict[str, int]:
    return {fate: int(quantity) for fate, quantity in conn.execute(_FATES, {"code": code})}


def _limit(conn: Connection, *, serialised: bool) -> tuple[int, str]:
    name = "serial_limit_permille" if serialised else "label_limit_permille"
    return SqlStationQueries(conn).setting(name), f"setting {name}"
