"""Asking in one line: a query made and put to the records."""

from tracelink.genealogy.containment.contain import contain as ask
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS
from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
from tracelink.genealogy.containment.several import contain_several as several
from tracelink.genealogy.flow.budget import no_limit


def contain(records, cause, shape, evidence=(), *, window=None, defect=None, tests=DEFAULT_TESTS):
    """Scope a cause; `evidence` may be judgements, as the records have them, or `Evidence`."""
    given = tuple(
        one if isinstance(one, Evidence) else Evidence(one.lot, one.stroke, one.good, one.defect)
        for one in evidence
    )
    query = ContainmentQuery(cause, shape, given, defect, window, next_tests=tests)
    return ask(records, query)


def contain_several(records, asked, shape, defect=None):
    """Scope causes through the rules for several, also if there is only one of them."""
    (first, *also), *only_with = asked.clauses
    times = () if asked.period is None else (asked.period.since, asked.period.until)
    query = ContainmentQuery(
        first, shape, (), defect, None, tuple(also), tuple(map(tuple, only_with)), *times
    )
    return several(records, query, asked, no_limit())
