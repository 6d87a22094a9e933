"""Reading containment cases: what was recorded of one, and what changed in it since somebody looked."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, TextClause, text

from tracelink.errors import UsageError
from tracelink.genealogy.case.case_facts import Case, CaseClosing, CaseFacts, CaseHold
from tracelink.genealogy.case.kept_question import ScopedBody, query_of
from tracelink.genealogy.case.shipped_in import shipped_in
from tracelink.genealogy.case.standing import Back, CaseRecord, Check, CorrectiveAction, Draw, Notice, Reply
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import ReturnStatus, return_place
from tracelink.ledger.entry import Entry, entry_of
from tracelink.ledger.kinds import case_measures
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.case import CaseClosed
from tracelink.ledger.kinds.case_scope import CaseContainer, ScopeSummary
from tracelink.store.compact.stored_rows import said
from tracelink.store.database.in_lists import text_list
from tracelink.store.records.sql_records import SqlRecords

_LIST = text(
    "SELECT c.code, c.cause, c.safety, c.reason, c.person, p.name, c.seq, c.closed_seq, "
    "(SELECT MAX(e.seq) FROM case_entry e WHERE e.case_code = c.code) AS last_seq "
    "FROM containment_case c JOIN person p ON p.code = c.person ORDER BY c.seq"
)
_ONE = text(
    "SELECT c.code, c.cause, c.safety, c.reason, c.person, p.name, c.seq, c.closed_seq, "
    "(SELECT MAX(e.seq) FROM case_entry e WHERE e.case_code = c.code) AS last_seq "
    "FROM containment_case c JOIN person p ON p.code = c.person WHERE c.code = :case"
)
_ENTRIES = text("SELECT seq FROM case_entry WHERE case_code = :case AND seq > :after ORDER BY seq")
_MEASURES = text(
    "SELECT seq FROM case_entry WHERE case_code = :case AND kind IN :kinds ORDER BY seq"
).bindparams(text_list("kinds"))
_JOURNAL = text("SELECT stored FROM journal WHERE seq = :seq")
_SCOPES = text("SELECT seq FROM case_scope WHERE case_code = :case ORDER BY version")
_HOLDS = text(
    "SELECT h.code, h.person, h.reason, h.seq, h.lifted_seq FROM case_hold c JOIN hold h ON h.code = c.hold "
    "WHERE c.case_code = :case ORDER BY h.seq"
)
_NOTICES = text(
    "SELECT seq, consignee, method, version, sha256, at FROM case_notice WHERE case_code = :case ORDER BY seq"
)
_REPLIES = text(
    "SELECT seq, consignee, on_hand, returned, destroyed, at FROM case_reply WHERE case_code = :case ORDER BY seq"
)
_CHECKS = text("SELECT seq, consignee, result, at FROM case_check WHERE case_code = :case ORDER BY seq")
_LEVEL = text(
    "SELECT seq, level, percent, source, among FROM case_level WHERE case_code = :case ORDER BY seq DESC LIMIT 1"
)
_CHOSEN = text("SELECT consignee FROM case_chosen WHERE seq = :seq ORDER BY consignee")
_ESTIMATE = text('SELECT "date" FROM case_estimate WHERE case_code = :case ORDER BY seq DESC LIMIT 1')
_BACK = text(
    "SELECT r.carton, r.number, r.status, m.lot, m.quantity, m.at FROM return_line r JOIN movement m ON m.seq = r.seq "
    "AND m.target = 'returned' WHERE r.seq > :after AND r.carton IS NOT NULL ORDER BY r.seq, m.line"
)
_DESTROYED_AT = text("SELECT MAX(at) FROM movement WHERE source = :place AND target = 'destroyed'")
_UNITS_BACK = text("SELECT piece, at FROM unit_return WHERE seq > :after ORDER BY seq")
_JUDGED_SINCE = text(
    "SELECT j.seq, j.sample, j.good, j.defect, j.corrected_by, s.lot, s.stroke FROM judgement j "
    "JOIN sample s ON s.code = j.sample WHERE s.lot IN :lots AND (j.seq > :after OR j.corrected_by > :after) "
    "ORDER BY j.seq"
).bindparams(text_list("lots"))
_LOOSE = text(
    "SELECT COALESCE(SUM(discs), 0) FROM return_line WHERE carton IS NULL AND seq > :after AND lot IN :lots"
).bindparams(text_list("lots"))


def all_cases(conn: Connection) -> list[Case]:
    """Return every case, oldest first."""
    return [_case(row) for row in conn.execute(_LIST)]


def open_cases_about(conn: Connection, query: ContainmentQuery) -> list[CaseFacts]:
    """Return the open cases about one of the causes of a query, the oldest first, whatever else they ask."""
    found = [case_facts(conn, case.code) for case in all_cases(conn) if case.closed_seq is None]
    return [facts for facts in found if not facts.causes.isdisjoint(query.codes)]


def find_case(conn: Connection, given: str) -> Case:
    """Return the case of a code as a person gives it.

    Raises:
        IdentifierError: it is not a plant code.
        UsageError: it is the code of something else, or there is no such case.
    """
    code = PlantCode.parse_one(CodeKind.CASE, given.strip().upper())
    row = conn.execute(_ONE, {"case": code.text}).first()
    if row is None:
        raise UsageError(f"there is no containment case {code.text}: runout case list shows them")
    return _case(row)


def _case(row: Row[*tuple[Any, ...]]) -> Case:
    return Case(
        row.code,
        row.cause,
        bool(row.safety),
        row.reason,
        row.person,
        row.name,
        row.seq,
        row.closed_seq,
        row.last_seq,
    )


def case_facts(conn: Connection, given: str) -> CaseFacts:
    """Return all that was recorded of a case.

    Args:
        conn: a connection inside a transaction.
        given: the case's code, such as Q000001S.

    Raises:
        UsageError: there is no such case.
    """
    case = find_case(conn, given)
    scoped = [entry_at(conn, seq) for seq in conn.execute(_SCOPES, {"case": case.code}).scalars()]
    bodies = [body for entry in scoped if isinstance(body := _body_of(entry), ScopedBody)]
    scopes = tuple(body.scope for body in bodies)
    recorded = CaseRecord(
        scopes=scopes,
        notices=tuple(Notice(*row) for row in _all(conn, _NOTICES, case)),
        replies=tuple(Reply(*row) for row in _all(conn, _REPLIES, case)),
        checks=tuple(Check(*row) for row in _all(conn, _CHECKS, case)),
        draw=_draw(conn, case),
        estimate=conn.execute(_ESTIMATE, {"case": case.code}).scalar(),
        back=(*_back(conn, scopes), *_units_back(conn, scopes)),
        loose=_loose(conn, case, scopes),
        **_measures(conn, case),
    )
    holds = tuple(CaseHold(*row) for row in _all(conn, _HOLDS, case))
    return CaseFacts(
        case=case,
        opened_at=scoped[0].stamp.event_time,
        query=query_of(bodies[-1]),
        scope_entries=tuple(entry.seq for entry in scoped),
        holds=holds,
        recorded=recorded,
        closing=None if case.closed_seq is None else _closing(conn, entry_at(conn, case.closed_seq)),
    )


def _body_of(entry: Entry) -> EntryBody:
    # Every kind of entry is loaded for it, and most questions meet no case.
    from tracelink.ledger.kinds.registry import read_body  # noqa: PLC0415

    return read_body(entry)


def _closing(conn: Connection, entry: Entry) -> CaseClosing:
    body = _body_of(entry)
    assert isinstance(body, CaseClosed), "the table says so"
    names = SqlRecords(conn)
    both = filter(None, (entry.stamp.person, body.second_person))
    who = tuple(names.person_name(badge) or badge for badge in both)
    return CaseClosing(entry.stamp.event_time, who, entry.reason or "", body.open_points)


def _all(conn: Connection, query: TextClause, case: Case) -> Sequence[Row[*tuple[Any, ...]]]:
    return conn.execute(query, {"case": case.code}).all()


def _measures(conn: Connection, case: Case) -> dict[str, Any]:
    """What was stated and set, read from its entries: no rule asks for it in a table."""
    kinds = [kind.kind for kind in case_measures.KINDS]
    seqs = conn.execute(_MEASURES, {"case": case.code, "kinds": kinds}).scalars().all()
    found = [(seq, _body_of(entry_at(conn, seq))) for seq in seqs]
    causes = [body.words for _seq, body in found if isinstance(body, case_measures.CaseCauseStated)]
    linked = [
        body.investigation for _seq, body in found if isinstance(body, case_measures.CaseInvestigationLinked)
    ]
    return {
        "root_cause": causes[-1] if causes else None,
        "actions": tuple(
            CorrectiveAction(seq, body.words, body.owner, body.due)
            for seq, body in found
            if isinstance(body, case_measures.CaseActionSet)
        ),
        "investigations": tuple(dict.fromkeys(linked)),
    }


def _draw(conn: Connection, case: Case) -> Draw | None:
    row = conn.execute(_LEVEL, {"case": case.code}).first()
    if row is None:
        return None
    return Draw(
        row.seq,
        row.level,
        row.percent,
        row.source,
        row.among,
        tuple(conn.execute(_CHOSEN, {"seq": row.seq}).scalars()),
    )


def _back(conn: Connection, scopes: Sequence[ScopeSummary]) -> list[Back]:
    """What came back in cartons that a scope had seen shipped: the carton says whose it was."""
    whose = {
        (held.code, held.lot): held.consignee for scope in scopes for held in scope.containers if held.shipped
    }
    found: list[Back] = []
    for row in conn.execute(_BACK, {"after": scopes[0].head_seq}):
        consignee = whose.get((row.carton, row.lot))
        if consignee is None:
            continue
        found.append(Back(consignee, row.quantity, 0, row.at))
        if row.status == ReturnStatus.DESTROYED:
            destroyed_at = conn.execute(_DESTROYED_AT, {"place": return_place(row.number)}).scalar()
            # No disc was left to destroy where the lab had taken them all: the carton alone has no movement.
            found.append(Back(consignee, 0, row.quantity, destroyed_at or row.at))
    return found


def _units_back(conn: Connection, scopes: Sequence[ScopeSummary]) -> list[Back]:
    """Units that came back by themselves: what of the cause may be in one is what a scope had seen shipped in it."""
    held: dict[str, dict[tuple[str, str], CaseContainer]] = {}
    for scope in scopes:
        for one in scope.containers:
            if one.shipped and (unit := shipped_in(one).unit):
                held.setdefault(unit, {})[one.code, one.lot] = one
    found = []
    for row in conn.execute(_UNITS_BACK, {"after": scopes[0].head_seq}):
        inside = list(held.get(row.piece, {}).values())
        if inside:
            found.append(Back(inside[0].consignee, sum(one.pieces for one in inside), 0, row.at))
    return found


def _loose(conn: Connection, case: Case, scopes: Sequence[ScopeSummary]) -> int:
    lots = sorted({lot for scope in scopes for lot in scope.lots})
    return int(conn.execute(_LOOSE, {"after": case.seq, "lots": lots}).scalar_one()) if lots else 0


def entry_at(conn: Connection, seq: int) -> Entry:
    """Return one entry of the journal."""
    return entry_of(said(conn.execute(_JOURNAL, {"seq": seq}).scalar_one()))


def entries_of(conn: Connection, case: Case, after: int = 0) -> list[Entry]:
    """Return the entries about a case, in order, from the one after `after`."""
    found = conn.execute(_ENTRIES, {"case": case.code, "after": after}).scalars()
    return [entry_at(conn, seq) for seq in found]


def evidence_since(conn: Connection, before: ScopeSummary, now: ScopeSummary) -> list[str]:
    """Return sentences on the judgements recorded between two scopes, of the lots of either."""
    lots = sorted({*before.lots, *now.lots})
    rows = conn.execute(_JUDGED_SINCE, {"lots": lots, "after": before.head_seq}) if lots else ()
    return [_judged(row) for row in rows]


def _judged(row: Row[*tuple[Any, ...]]) -> str:
    found = "good" if row.good else f"bad ({row.defect})"
    after = f"; entry {row.corrected_by} corrects it" if row.corrected_by else ""
    disc = "disc of unknown stroke" if row.stroke is None else f"disc {row.stroke}"
    return f"Sample {row.sample}, {disc} of lot {row.lot}, was judged {found} by entry {row.seq}{after}."
