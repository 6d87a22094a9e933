"""A containment case and a drill on PostgreSQL: the same acts, the same tables after a rebuild."""

import time

import pytest
from sqlalchemy import select
from support_asking import contain
from support_cases import ADA, BEN, CAUSE, shipped
from support_plant import START, n

from tracelink.errors import RefusedByRule
from tracelink.genealogy.case.compare_scopes import difference, summary_of
from tracelink.genealogy.case.standing import status_of
from tracelink.genealogy.containment.in_plant import free_to_ship
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.services.drill import hold_drill
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal import rebuild
from tracelink.store.office import case_acts
from tracelink.store.office.cases import all_cases, case_facts, evidence_since
from tracelink.store.office.notice_facts import notice_facts
from tracelink.store.records.drill_rows import held_drills
from tracelink.store.records.free_to_ship import in_plant
from tracelink.store.records.sql_records import SqlRecords

CASE = n("Q1")
QUERY = ContainmentQuery(CAUSE, Shape.FROM_ONSET)


@pytest.fixture
def floor(pg_grown):
    shipped(pg_grown)
    return pg_grown


def hand(booking, seen=None):
    return case_acts.CaseAuthor(booking, Stamp(START, "2031-03-05T07:00:00Z", person=ADA), "scratch", seen)


def asked(conn):
    return contain(SqlRecords(conn), CAUSE, Shape.FROM_ONSET)


def test_a_case_is_worked_and_rebuilt(floor):
    with floor.ledger.writing() as booking:
        scope = summary_of(asked(booking.connection))
        assert case_acts.open_case(hand(booking), QUERY, scope, safety=False) == CASE
    with floor.ledger.writing() as booking:
        acting = hand(booking)
        case_acts.notify(acting, CASE, "Shop 1", "letter", "ab" * 32)
        case_acts.reply(acting, CASE, "Shop 9", (5, 5, None))
        assert case_acts.choose_checks(acting, CASE, ("A", 100, "test")) == ("Shop 1", "Shop 9")
        case_acts.checked(acting, CASE, "Shop 1", "ok")
        case_acts.estimate(acting, CASE, "2031-05-01")
        assert case_acts.scope_again(acting, CASE, QUERY, scope) == 2
    with floor.ledger.writing() as booking:
        acting = hand(booking)
        case_acts.record_drill(acting, hold_drill(booking.connection, "carton", 7, time.perf_counter).entry())
        [case] = all_cases(booking.connection)
        with pytest.raises(RefusedByRule, match="was changed after entry"):
            case_acts.estimate(hand(booking, case.seq), CASE, "2031-06-01")
        assert len(case_acts.close(acting, CASE, BEN, despite=True)) == 5
    with floor.ledger.reading() as conn:
        facts = case_facts(conn, CASE)
        lines = {line.consignee: line for line in status_of(facts.recorded).lines}
        assert (lines["Shop 9"].may_hold, lines["Shop 9"].returned_difference) == (5, 5)
        assert [row.code for row in free_to_ship(in_plant(conn, asked(conn)))] == [n("K12")]
        assert [lot.lot for lot in notice_facts(conn, facts, "Shop 1", START, "cartons.csv").lots] == [
            n("L1")
        ]
        now = summary_of(asked(conn))
        assert not difference(facts.recorded.scopes[-1], now).differs
        assert evidence_since(conn, facts.recorded.scopes[0], now) == []
        assert len(held_drills(conn)) == 1

    def rows():
        with floor.ledger.reading() as conn:
            return {table.name: sorted(map(repr, conn.execute(select(table)))) for table in SHADOW}

    before = rows()
    with floor.ledger.transaction() as conn:
        rebuild.rebuild(conn)
    assert rows() == before
