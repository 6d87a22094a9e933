"""`runout agreement` and `runout gauge-study`: whether measuring agrees with itself."""

import json

import click

import runout
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell
from tracelink.report.format.render import render
from tracelink.report.pages.agreement_text import (
    VARIANCE_COLUMNS,
    agreement_sentences,
    gauge_sentences,
    variance_rows,
    verdict_columns,
    verdict_rows,
)


@click.command(
    epilog="Example: runout agreement verdicts.csv      runout agreement --people P000309E P000310S"
)
@click.argument("file", metavar="FILE", required=False)
@click.option(
    "--people",
    nargs=2,
    metavar="BADGE BADGE",
    help="Without FILE: whose verdicts, if more than two compared.",
)
@format_option
@click.pass_context
def agreement(ctx: click.Context, file: str | None, people: tuple[str, str] | None, fmt: str) -> None:
    """Say how far two inspectors agree on the same discs, beyond chance.

    Without FILE by what they said at the bench (COMPARE). FILE is CSV or XLSX with the columns disc, person, verdict: one
    line for each verdict; then no ledger is asked.

    Exit codes: 0 told, 1 the data cannot tell.
    """
    if file is not None and people is not None:
        raise UsageError(
            "--people names whose verdicts of the bench are compared: expected no FILE beside it"
        )
    if file is None:
        with runout.open_ledger(ctx.obj, read_only=True) as ledger:
            found = ledger.lab.compare_inspectors(people or ())
    else:
        found = runout.compare_inspectors(file)
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    else:
        columns = verdict_columns(found.people, found.verdicts)
        click.echo(render(verdict_rows(found.verdicts, found.table), columns, fmt), nl=False)
    if fmt == "table":
        told = agreement_sentences(found.found, found.verdicts, found.alone)
        print_report("\n".join(told) + "\n", fmt)
    ctx.exit(1 if isinstance(found.found, CannotTell) or found.found.kappa is None else 0)


@click.command(
    "gauge-study",
    epilog="Example: runout gauge-study readings.csv --tolerance 6      runout gauge-study --gauge G000001M --test noise",
)
@click.argument("file", metavar="FILE", required=False)
@click.option(
    "--gauge", metavar="GAUGE", help="Instead of FILE, by what was read at the bench with this gauge (STUDY)."
)
@click.option("--test", metavar="TEST", help="The lab test that was read with it.")
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    default="point",
    show_default=True,
    help="The decimal mark of values in FILE.",
)
@click.option(
    "--tolerance", type=float, metavar="WIDTH", help="Width between the limits that it is to judge by."
)
@format_option
@click.pass_context
def gauge_study(
    ctx: click.Context,
    file: str | None,
    gauge: str | None,
    test: str | None,
    decimal: str,
    tolerance: float | None,
    fmt: str,
) -> None:
    """Say how much of what is read comes from the gauge and from the people.

    FILE is CSV or XLSX with the columns disc, person, value: everybody reads every disc as often, twice or more; then no
    ledger is asked.

    Exit codes: 0 told, 1 the data cannot tell.
    """
    if (file is None) != (gauge is not None and test is not None) or (gauge is None) != (test is None):
        raise UsageError("runout gauge-study: expected FILE, or --gauge and --test")
    if gauge is not None and test is not None:
        with runout.open_ledger(ctx.obj, read_only=True) as ledger:
            found = ledger.lab.study_gauge(gauge, test, tolerance)
    else:
        assert file is not None, "asked above"
        found = runout.study_gauge(file, decimal=decimal, tolerance=tolerance)
    study = found.found
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    else:
        rows = [] if isinstance(study, CannotTell) else variance_rows(study)
        click.echo(render(rows, VARIANCE_COLUMNS, fmt), nl=False)
    if fmt == "table":
        print_report("\n".join(gauge_sentences(study, tolerance)) + "\n", fmt)
    ctx.exit(1 if isinstance(study, CannotTell) else 0)
