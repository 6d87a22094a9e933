"""`runout case open|scope`: what one cause touched, kept with the question."""

from typing import Any

import click

from tracelink.cli.case.opts import Author, author_options, case_options, reason_option
from tracelink.cli.common.query_options import is_asked, query_options, read_query
from tracelink.cli.common.say import say
from tracelink.genealogy.case.compare_scopes import difference, summary_of
from tracelink.ledger.kinds.case_scope import ScopeSummary
from tracelink.report.case.difference import difference_text
from tracelink.services.containment import scope_of
from tracelink.store.office import case_acts
from tracelink.store.office.cases import case_facts, cases_asking
from tracelink.store.records.sql_records import SqlRecords


@click.command(
    name="open",
    epilog="Example: runout case open T000004H --shape from-onset --by P000001H --reason 'repeating scratch'",
)
@query_options
@author_options
@reason_option
@click.option(
    "--safety",
    is_flag=True,
    help="Mark it as a safety matter; without it the case is a commercial withdrawal.",
)
@click.pass_obj
def open_case(place: str, /, by: str, at: str | None, reason: str, safety: bool, **words: Any) -> None:
    """Open a containment case: ask what a cause touched, and keep the question with its answer.

    The question has the words of `runout contain`, which looks without keeping anything. Nothing is held by
    opening a case: see `runout case holds`. Whether it is a safety matter is the person's to say.
    """
    query = read_query(words)
    with Author(place, by, at, reason=reason).writing() as hand:
        alike = cases_asking(hand.booking.connection, query)
        scope = summary_of(scope_of(SqlRecords(hand.booking.connection), query))
        code = case_acts.open_case(hand, query, scope, safety=safety)
    click.echo(
        f"Case {code} is open, {'a safety matter' if safety else 'a commercial withdrawal'} by its opener."
    )
    click.echo(_found(1, scope))
    for other in alike:
        say(
            f"Case {other.code} asks the same and is open, by {other.name}: {other.reason}. Say which one is worked on.",
            err=True,
        )


@click.command(
    epilog="Example: runout case scope Q000001X --by P000001H --reason 'sample S000017V was judged'"
)
@case_options
@query_options
@reason_option
@click.pass_obj
def scope(
    place: str, /, case: str, by: str, at: str | None, seen: int | None, reason: str, **words: Any
) -> None:
    """Record what the question of CASE finds now, as its next scope; earlier scopes stay.

    With CODE and --shape another question takes the place of the old one.
    """
    with Author(place, by, at, seen, reason).writing() as hand:
        facts = case_facts(hand.booking.connection, case)
        query = read_query(words) if is_asked(words) else facts.query
        found = summary_of(scope_of(SqlRecords(hand.booking.connection), query))
        version = case_acts.scope_again(hand, case, query, found)
    click.echo(_found(version, found))
    before = facts.recorded.scopes[-1]
    click.echo(
        difference_text(difference(before, found), f"scope {version - 1}", f"scope {version}"), nl=False
    )


def _found(version: int, scope: ScopeSummary) -> str:
    total = scope.total
    return (
        f"Scope {version}, from the records up to entry {scope.head_seq} ({scope.head_hash[:16]}...): {total.least} to "
        f"{total.most} discs affected, {len(scope.containers)} containers that can hold one; gaps: {len(scope.gaps)}."
    )
