"""`runout chart`, `runout baseline` and `runout capability`: a process along the life of a tool or the time of a press."""

import json
from collections.abc import Callable

import click

from runout import BaselineAsked, ChartAsked, LabChart, open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.files import report_file
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.printing.output import whole_file
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.control_chart import ChartKind
from tracelink.report.format.render import render
from tracelink.report.pages import chart_text

_KINDS = click.Choice([kind.value for kind in ChartKind])
_test = click.option(
    "--test", required=True, help="A lab test, such as noise; judged for good and bad discs."
)
_chart = click.option(
    "--chart", "kind", type=_KINDS, default="individuals", show_default=True, help="Which chart."
)
_size = click.option(
    "--size",
    type=click.IntRange(2, 1000),
    metavar="N",
    help="Discs for each point of charts of groups (xbar-r, xbar-s, u, p, np); those of the baseline, or 5, unless said.",
)


@click.command(epilog="Example: runout chart T001030Y --test noise")
@click.argument("code", metavar="CODE")
@_test
@_chart
@_size
@click.option("--svg", metavar="FILE", help="Write the chart as a picture.")
@click.option("--html", metavar="FILE", help="Write the chart with its table as a page that opens anywhere.")
@click.option("--pdf", metavar="FILE", help="Write the same as a PDF.")
@format_option
@click.pass_context
def chart(
    ctx: click.Context,
    code: str,
    test: str,
    kind: str,
    size: int | None,
    svg: str | None,
    html: str | None,
    pdf: str | None,
    fmt: str,
) -> None:
    """Chart what was measured or judged of what CODE pressed, by limits from a frozen baseline.

    CODE is a stamper (points along its stroke life), a mother, father or master (all stampers grown from it), a press or a
    lot (in the order in which discs were pressed).

    Exit codes: 0 no signal, 1 signals, or no baseline to judge by.
    """
    files = {
        name: report_file(given, f".{name}") for name, given in (("svg", svg), ("html", html), ("pdf", pdf))
    }
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.lab.chart(code, ChartAsked(test, kind, size))
    at = local_now()
    for name, file in files.items():
        if file is not None:
            with whole_file(file, "The chart") as part:
                part.write_bytes(_WRITERS[name](found, at))
            click.echo(f"Wrote {file}", err=True)
    table = chart_text.rows(found.found)
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(table, chart_text.COLUMNS, fmt), nl=False)
    else:
        shown, left_out = chart_text.on_screen(table)
        click.echo(render(shown, chart_text.SCREEN, fmt), nl=False)
        if left_out:
            click.echo(f"{left_out} earlier points are not shown; --format csv has all.")
        print_report("\n".join(found.sentences) + "\n", fmt)
    ctx.exit(0 if found.found.chart is not None and not found.found.signalled else 1)


_WRITERS: dict[str, Callable[[LabChart, str], bytes]] = {
    "svg": lambda found, at: found.to_svg(at).encode(),
    "html": lambda found, at: found.to_page(at).encode(),
    "pdf": lambda found, at: found.to_pdf(at),
}


@click.command(
    epilog="Example: runout baseline T001030Y --test noise --points 25 --reason 'first run, all good'"
)
@click.argument("code", metavar="CODE")
@_test
@_chart
@_size
@click.option("--points", type=click.IntRange(1), metavar="N", help="Only the first N points.")
@click.option(
    "--without", multiple=True, metavar="SAMPLE", help="Leave this disc out; may be given several times."
)
@click.option("--reason", help="Why these discs stand for the process, and why others are left out.")
@click.option(
    "--by", metavar="BADGE", help="Freeze it; role lab or quality. Without it the baseline is only shown."
)
@click.option(
    "--at", metavar="TIME", help="With --by: when it was frozen, if not now (RFC 3339 with offset)."
)
@click.pass_obj
def baseline(
    place: str,
    code: str,
    test: str,
    kind: str,
    size: int | None,
    points: int | None,
    without: tuple[str, ...],
    reason: str | None,
    by: str | None,
    at: str | None,
) -> None:
    """Show or freeze the baseline of a chart: centre and spread of the process while it ran as it should.

    It holds for CODE and every tool grown from it. What is measured later is judged by it at the station; limits do not
    follow a process that drifts. A baseline of too few points, or with a point beyond its own limits, is refused.
    """
    asked = BaselineAsked(ChartAsked(test, kind, size), points, tuple(without))
    if by is None:
        with open_ledger(place, read_only=True) as ledger:
            shown = ledger.lab.baseline(code, asked)
    else:
        if reason is None:
            raise UsageError("--reason is missing: expected why these discs stand for the process")
        with open_ledger(place) as ledger:
            shown = ledger.lab.freeze_baseline(code, asked, reason, badge_of(by), at)
    frozen = "Frozen" if by is not None else "Not frozen (--by BADGE and --reason freeze it)"
    click.echo(
        f"{frozen}: {shown.chart} of {shown.test} for {shown.subject}, {shown.points} points, centre {shown.centre}, "
        f"standard deviation {shown.sigma}."
    )
    for sentence in chart_text.few_sentences(ChartKind(shown.chart), float(shown.centre), shown.group):
        click.echo(sentence)


@click.command(epilog="Example: runout capability T001030Y --test noise")
@click.argument("code", metavar="CODE")
@click.option("--test", required=True, help="A lab test, such as noise.")
@format_option
@click.pass_context
def capability(ctx: click.Context, code: str, test: str, fmt: str) -> None:
    """Say whether what CODE presses keeps the limit of a test, with how surely that is known.

    Refused where the data do not allow it: too few values, all alike, not in control, not normal, no limit.

    Exit codes: 0 told, 1 the data cannot tell.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.lab.capability(code, test)
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(
            render(chart_text.capability_rows(found.found), chart_text.CAPABILITY_COLUMNS, fmt), nl=False
        )
    else:
        told = chart_text.capability_sentences(found.found, found.limit, found.unit)
        print_report("\n".join(told) + "\n", fmt)
    ctx.exit(1 if isinstance(found.found, CannotTell) else 0)
