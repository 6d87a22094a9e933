"""`runout case open|scope`: what one cause touched, kept with the question."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from runout import open_ledger
from tracelink.cli.case.opts import author_options, case_options, reason_option, signer_of
from tracelink.cli.common.query_options import is_asked, query_options, read_query
from tracelink.cli.common.say import say
from tracelink.ledger.count_words import counted, words_of_all
from tracelink.report.case.difference import difference_text

if TYPE_CHECKING:
    from tracelink.ledger.kinds.case_scope import ScopeSummary


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
    query, signer = read_query(words), signer_of(by, at, reason=reason)
    with open_ledger(place) as ledger:
        case = ledger.cases.open(query, signer, safety=safety)
    click.echo(
        f"Case {case.code} is open, {'a safety matter' if safety else 'a commercial withdrawal'} by its opener."
    )
    click.echo(_found(1, case.scope))
    if case.scope.containers:
        click.echo(f"Next: runout case holds {case.code} --by BADGE --reason TEXT")
    for other in case.alike:
        say(
            f"Case {other.code} asks the same and is open, by {other.name}: {other.reason}. Say which one is worked on.",
            err=True,
        )
    for other, question in case.related:
        say(
            f"Case {other.code} is open about the same cause and asks another question ({question}), by {other.name}: "
            f"{other.reason}. Say which one is worked on.",
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
    query, signer = read_query(words) if is_asked(words) else None, signer_of(by, at, seen, reason)
    with open_ledger(place) as ledger:
        made = ledger.cases.scope(case, signer, query)
    click.echo(_found(made.version, made.scope))
    before, now = f"scope {made.version - 1}", f"scope {made.version}"
    click.echo(difference_text(made.found, before, now), nl=False)


def _found(version: int, scope: ScopeSummary) -> str:
    total, words = scope.total, words_of_all(tier.lot for tier in scope.tiers)
    return (
        f"Scope {version}, from the records up to entry {scope.head_seq} ({scope.head_hash[:16]}...): {total.least} to "
        f"{counted(total.most, words.one)} affected, {counted(len(scope.containers), 'container')} that can hold one; gaps: {len(scope.gaps)}."
    )
