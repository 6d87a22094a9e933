"""`runout label`: draw labels that are proven before they are written, or read and judge labels in pictures."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runout import open_ledger
from tracelink.cli import label_store
from tracelink.cli.common.lazy import SpelledGroup
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import progress
from tracelink.errors import ImageDoubtful, ImageUnread, UsageError
from tracelink.identity.gs1.aitable import SEPARATOR
from tracelink.ledger.count_words import counted
from tracelink.report.format.plain import visible

if TYPE_CHECKING:
    from tracelink.printing.checked import Checked

_DPI = click.option(
    "--dpi",
    type=click.Choice(["203", "300", "600"]),
    default="300",
    show_default=True,
    help="The printer's dots per inch.",
)


@click.group(cls=SpelledGroup)
def label() -> None:
    """Draw labels, or read and judge labels in pictures."""


@label.command(name="list", epilog="Example: runout label list")
def list_layouts() -> None:
    """List the label layouts and the fields each one asks for."""
    from tracelink.printing.layout import layout_names, load_layout  # noqa: PLC0415  drawing loads slowly

    for name in layout_names():
        click.echo(f"{name}: {', '.join(load_layout(name).fields)}")


@label.command(epilog="Example: runout label draw spindle-card label.png code=K0001422")
@click.argument("layout")
@click.argument("file", metavar="FILE.png|FILE.pdf")
@click.argument("fields", metavar="FIELD=VALUE...", nargs=-1)
@_DPI
def draw(layout: str, file: str, fields: tuple[str, ...], dpi: str) -> None:
    """Draw one label as a PNG or PDF.

    It is measured and read back before it is written: if a size, a quiet zone or what it says is not exactly as
    it must be, no file is written.
    """
    from tracelink.printing.label import write_label  # noqa: PLC0415  drawing loads slowly
    from tracelink.printing.layout import load_layout  # noqa: PLC0415

    path = Path(file)
    if path.suffix.lower() not in {".png", ".pdf"}:
        raise UsageError(f"{file}: expected a file name that ends in .png or .pdf")
    data = {}
    for given in fields:
        name, equals, value = given.partition("=")
        if not equals:
            raise UsageError(f"{given!r}: expected FIELD=VALUE")
        data[name] = value
    expected = write_label(path, load_layout(layout), data, int(dpi))
    for scan in expected.scans:
        click.echo(f"{file}: {visible(scan)}")


@label.command(
    epilog="Example: runout label batch numbered-sleeve copies.csv copies.pdf --format pdf --sheet"
)
@click.argument("layout")
@click.argument("csv_file", metavar="CSVFILE")
@click.argument("out", metavar="OUT")
@click.option(
    "--format",
    "form",
    type=click.Choice(["png", "pdf"]),
    default="pdf",
    show_default=True,
    help="A folder of PNG files, named by their line, or one PDF with a label on each page.",
)
@click.option("--sheet", is_flag=True, help="Put several labels on an A4 page, edge to edge; PDF only.")
@_DPI
def batch(layout: str, csv_file: str, out: str, form: str, sheet: bool, dpi: str) -> None:
    """Draw a label for each line of a CSV file.

    The heading names the layout's fields. Every label is proven. If one line cannot be printed, all faulty lines
    are listed and nothing is written.
    """
    from tracelink.printing.batch import Batch, BatchForm, read_rows, write_batch  # noqa: PLC0415  loads slowly
    from tracelink.printing.layout import load_layout  # noqa: PLC0415

    if sheet and form == "png":
        raise UsageError("--sheet goes with --format pdf: expected one of the two")
    chosen = load_layout(layout)
    rows = read_rows(Path(csv_file), chosen)
    whole = BatchForm.PICTURES if form == "png" else BatchForm.SHEETS if sheet else BatchForm.PAGES
    done = write_batch(Path(out), Batch(chosen, rows, int(dpi), whole), _bar("Labels"))
    for sentence in (*done.faults, *done.repeated):
        click.echo(f"{csv_file}: {sentence}", err=True)
    if done.faults:
        raise UsageError(
            f"{len(done.faults)} of {counted(len(rows), 'line')} cannot be printed; {out} was not written."
        )
    click.echo(f"{out}: {counted(done.labels, 'label')}")


@label.command(epilog="Example: runout label acts line line-acts.pdf")
@click.argument("area")
@click.argument("file", metavar="OUT.pdf")
@click.option("--reasons", is_flag=True, help="With the reasons of the ledger's plant, to be scanned.")
@_DPI
@click.pass_obj
def acts(place: str, area: str, file: str, dpi: str, *, reasons: bool) -> None:
    """Draw the card of a work area: every act that is scanned at its stations, on one A4 page.

    AREA is tool, press, lab, line, dock, process or assembly. Reasons stand below the acts, or on a page of their own.
    """
    from tracelink.printing.act_cards import ReasonRow, write_acts  # noqa: PLC0415  drawing loads slowly

    if reasons:
        with open_ledger(place, read_only=True) as ledger:
            of_plant = [ReasonRow(each.code, each.text, each.acts) for each in ledger.labels.reasons(area)]
        if not of_plant:
            click.echo(f"The plant has no reasons for the acts of area {area}.", err=True)
    else:
        of_plant = []
    words = write_acts(Path(file), area, int(dpi), _bar("Acts"), of_plant)
    click.echo(f"{file}: {', '.join(words)}")


@label.command(epilog="Example: runout label preview lot-card --into previews")
@click.argument("layouts", metavar="[LAYOUT]...", nargs=-1)
@click.option(
    "--into",
    metavar="FOLDER",
    default="labels/preview",
    show_default=True,
    help="Where the pictures go; made if it is not there.",
)
def preview(layouts: tuple[str, ...], into: str) -> None:
    """Draw layouts with their example data, all if none is named."""
    from tracelink.printing.layout import layout_names  # noqa: PLC0415  drawing loads slowly
    from tracelink.printing.preview import write_preview  # noqa: PLC0415

    for name in layouts or layout_names():
        click.echo(str(write_preview(Path(into), name)))


@label.command(epilog="Example: runout label read photo.jpg")
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
@click.pass_context
def read(ctx: click.Context, files: tuple[str, ...]) -> None:
    """Read the symbols in pictures and print them as a scanner would send them.

    The GS1 separator is GS, character 29, so that the lines can be piped into a station; on a screen it is shown as {GS}. A
    picture in which nothing can be read, or bars that were not read beside a symbol that was, is named on standard
    error, and the next one is read. `runout code read` says what the codes mean.

    Exit codes: 0 all were read, 1 some were not; of a single picture 2 no symbol, 4 the readers do not agree.
    """
    from tracelink.devices.unread_bars import read_picture_file  # noqa: PLC0415  image readers are loaded when wanted

    unread = partly = 0
    for file in files:
        try:
            lines, missed = read_picture_file(Path(file))
        except (ImageDoubtful, ImageUnread) as error:
            if len(files) == 1:
                raise
            unread += 1
            click.echo(visible(str(error)), err=True)
            continue
        for raw in lines:
            click.echo(_as_sent(raw))
        if missed:
            partly += 1
            click.echo(
                f"{visible(file)}: {counted(len(lines), 'symbol')} read, and bars in {counted(missed, 'place')} that "
                "could not be read. Take the picture again, or scan the label.",
                err=True,
            )
    if unread:
        click.echo(f"{unread} of {len(files)} pictures could not be read.", err=True)
    ctx.exit(1 if unread or partly else 0)


def _as_sent(raw: str) -> str:
    """Return a line as a scanner sends it: on a screen, or in a pipe, nothing but its separator is a control character."""
    shown = "{GS}" if sys.stdout.isatty() else SEPARATOR
    return shown.join(visible(part) for part in raw.split(SEPARATOR))


@label.command(
    epilog="Example: runout label check scan.png --dpi 600      Exit codes: 0 nothing found, 1 findings printed."
)
@click.argument("file", metavar="IMAGE")
@click.option(
    "--dpi",
    type=click.IntRange(72, 9600),
    metavar="N",
    help="The picture's dots per inch, if it comes from a scanner; a photograph has none.",
)
@format_option
@click.pass_context
def check(ctx: click.Context, file: str, dpi: int | None, fmt: str) -> None:
    """Measure the symbols in a picture of a printed label.

    Shows what each reader reads, the white round a symbol, its module and height, and for bars an indicative grade
    over ten scan lines. White is looked for up to one and a half times as far as it must go. The picture is no
    calibrated verifier's.
    """
    from tracelink.devices.images import open_image  # noqa: PLC0415  image readers are loaded when wanted
    from tracelink.printing.checked import KEYS, checked  # noqa: PLC0415
    from tracelink.printing.inspect import inspect  # noqa: PLC0415
    from tracelink.report.format.render import Column, Kind, render  # noqa: PLC0415

    inspection = inspect(open_image(Path(file)))
    symbols = checked(inspection, dpi)
    if fmt == "table":
        _say(symbols, dict(KEYS))
    else:
        columns = [Column(key, title) for key, title in KEYS] + [Column("findings", "findings", Kind.TEXT)]
        rows = [{**symbol.row, "findings": " ".join(symbol.findings)} for symbol in symbols]
        click.echo(render(rows, columns, fmt), nl=False)
    alone = [
        f"zbar alone reads {content!r}: nothing that only one reader sees may be booked."
        for content in inspection.zbar_alone
    ]
    if not symbols and not alone:
        alone = ["no symbol was read."]
    found = [f"{symbol.row['line']}: {finding}" for symbol in symbols for finding in symbol.findings] + alone
    for sentence in found:
        click.echo(f"{file}: {visible(sentence)}", err=True)
    ctx.exit(1 if found else 0)


def _say(symbols: Iterable[Checked], titles: Mapping[str, str]) -> None:
    from tracelink.printing.checked import NOT_CALIBRATED  # noqa: PLC0415  image readers are loaded when wanted

    for symbol in symbols:
        for key, value in symbol.row.items():
            if value is not None:
                click.echo(f"{titles[key] + ':':<24}{visible(str(value))}")
        click.echo()
    click.echo(NOT_CALIBRATED)


def _bar(what: str) -> Callable[[int], AbstractContextManager[Any]]:
    return lambda length: progress(length, what)


for _command in label_store.COMMANDS:
    label.add_command(_command)
