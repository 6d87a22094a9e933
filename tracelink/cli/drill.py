"""`runout drill`: a trace exercise on something that was shipped, timed and reported."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.files import report_file
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.facts.held_drill import DRAWN_FROM
from tracelink.printing.output import whole_file
from tracelink.report.format.render import render
from tracelink.report.pages.drill_document import (
    HELD_COLUMNS,
    STEP_COLUMNS,
    drill_document,
    drill_text,
    step_rows,
)

if TYPE_CHECKING:
    from runout import Drill


@click.command(epilog="Example: runout drill --seed 7 --from carton --html drill.html")
@click.option(
    "--seed",
    type=click.IntRange(0, 10**12),
    metavar="N",
    help="For the draw; the report names the one taken.",
)
@click.option(
    "--from", "what", type=click.Choice(DRAWN_FROM), default="carton", show_default=True, help="What to draw."
)
@click.option("--held", is_flag=True, help="Only list the drills that were recorded.")
@click.option("--record", is_flag=True, help="Record the drill in the journal.")
@click.option("--by", metavar="BADGE", help="With --record: the authorised person.")
@click.option(
    "--judge-again", is_flag=True, help="Also judge every raw scan of the ledger again, and say how fast."
)
@format_option
@click.option("--out", metavar="FILE", help="Write the report as text as well.")
@click.option("--html", metavar="FILE", help="Write the report as a page that opens anywhere.")
@click.option("--pdf", metavar="FILE", help="Write the same report as a PDF.")
@click.pass_context
def drill(
    ctx: click.Context,
    /,
    seed: int | None,
    what: str,
    held: bool,
    record: bool,
    by: str | None,
    judge_again: bool,
    fmt: str,
    out: str | None,
    html: str | None,
    pdf: str | None,
) -> None:
    """Draw a shipped carton, or something that can be bad, and time the back trace, forward trace, containment and balance.

    --from says what is drawn: a carton, stamper, reel or part lot; bath, a process step that something went through; or
    blend, material that a step made.

    Only reads, unless --record --by BADGE adds an entry that it was held. What is drawn hangs on the seed and the
    records alone, so that it can be drawn again. The time allowed for an exercise with people is a setting
    (drill_minutes, with its source); the times shown are the machine's.

    Exit codes: 0 no gap and every line of every balance is zero, 1 something is not, or an entry follows from no scan.
    """
    if record != (by is not None):
        raise UsageError("--record and --by BADGE go together: a recorded drill is a named person's act")
    files = {
        name: file
        for name, given, ending in (("out", out, ".txt"), ("html", html, ".html"), ("pdf", pdf, ".pdf"))
        if (file := report_file(given, ending)) is not None
    }
    with open_ledger(ctx.obj, read_only=True) as ledger:
        if held:
            click.echo(render(ledger.drills.recorded().to_dict(), HELD_COLUMNS, fmt), nl=False)
            return
        found = ledger.drills.hold(what, seed=seed, judge_again=judge_again)
    now = local_now()
    print_report(_printed(found, fmt), fmt)
    for name, file in files.items():
        _write(file, _WRITERS[name](found, now))
    if by is not None:
        with open_ledger(ctx.obj) as ledger:
            ledger.drills.record(found, badge_of(by))
        click.echo("The drill is recorded.", err=True)
    ctx.exit(1 if found.gaps or found.lots_off else 0)


def _printed(found: Drill, fmt: str) -> str:
    if fmt == "json":
        return json.dumps(found.to_dict(), ensure_ascii=True, indent=2) + "\n"
    return drill_text(found) if fmt == "table" else render(step_rows(found), STEP_COLUMNS, fmt)


def _write(file: Path, content: bytes) -> None:
    with whole_file(file, "The report") as part:
        part.write_bytes(content)
    click.echo(f"Wrote {file}", err=True)


def _text(found: Drill, _at: str) -> bytes:
    return drill_text(found).encode()


def _page(found: Drill, at: str) -> bytes:
    from tracelink.report.format.page import document_page  # noqa: PLC0415  made only when asked for

    return document_page(drill_document(found, at=at)).encode()


def _pdf(found: Drill, at: str) -> bytes:
    from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  made only when asked for

    return document_pdf(drill_document(found, at=at))


_WRITERS: dict[str, Callable[[Drill, str], bytes]] = {"out": _text, "html": _page, "pdf": _pdf}
