"""`runout cause`: what bad discs have in common that good ones have not."""

import json

import click

from tracelink.cli.common.options import format_option
from tracelink.cli.common.period import period_options, require_period
from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.compare import STRATA, common_cause
from tracelink.report.format.render import render
from tracelink.report.pages.common_cause_text import COLUMNS, as_json, common_text, rows
from tracelink.services.question import defect_named
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger
from tracelink.store.records.judged_discs import judged_discs, known_defects

_FROM, _TO = period_options("samples drawn")


@click.command(
    epilog="Example: runout cause --defect 'repeating scratch' --within press      runout cause --format csv"
)
@click.option("--defect", metavar="NAME", help="Count a sample as bad only for this defect.")
@_FROM
@_TO
@click.option(
    "--within",
    "stratum",
    type=click.Choice(STRATA),
    default=STRATA[0],
    show_default=True,
    help="Also compare discs of one press, lot, compound or operator among themselves.",
)
@format_option
@click.pass_context
def cause(
    ctx: click.Context, defect: str | None, since: str | None, until: str | None, stratum: str, fmt: str
) -> None:
    """Find what the bad judged discs share: stamper, family, press, materials, lot, operator.

    Every candidate is compared by Fisher's exact test, corrected for the number of candidates, and within strata.
    For a stamper, press or lot the point is named from which bad discs became more frequent. An association is no
    proof.

    \b
    Exit codes: 0 nothing stands out, 1 a candidate stands out after the correction.
    """  # noqa: D301  click looks for the character
    named = defect_named(defect)
    require_period(since, until)
    with Ledger.open(ctx.obj, read_only=True).reading() as conn:
        known = known_defects(conn)
        if named is not None and named not in known:
            raise UsageError(
                f"--defect: no disc was ever judged bad for {named!r}; known here: {', '.join(known) or 'none'}"
            )
        found = common_cause(judged_discs(conn, named, since, until), stratum)
        head = journal.head(conn)
    if fmt == "json":
        asked = {"defect": named, "from": since, "to": until, "head": {"seq": head.seq, "hash": head.hash}}
        click.echo(json.dumps(as_json(found, asked), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(rows(found), COLUMNS, fmt), nl=False)
    else:
        click.echo(
            common_text(found, named) + f"Records up to entry {head.seq} ({head.hash[:16]}...).\n", nl=False
        )
    ctx.exit(1 if any(one.significant for one in found.candidates) else 0)
