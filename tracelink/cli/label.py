"""`runout label`: draw a label that is proven to read back, or read labels from pictures."""

from pathlib import Path

import click

from tracelink.errors import UsageError


@click.group()
def label() -> None:
    """Draw a label, or read one from a picture."""


@label.command(name="list", epilog="Example: runout label list")
def list_layouts() -> None:
    """List the label layouts and the fields each one asks for."""
    from tracelink.printing.layout import layout_names, load_layout  # noqa: PLC0415  drawing loads slowly

    for name in layout_names():
        click.echo(f"{name}: {', '.join(load_layout(name).fields)}")


@label.command(epilog="Example: runout label draw spindle-card label.png code=K0001422")
@click.argument("layout")
@click.argument("file", metavar="FILE.png")
@click.argument("fields", metavar="FIELD=VALUE...", nargs=-1)
@click.option(
    "--dpi",
    type=click.Choice(["203", "300", "600"]),
    default="300",
    show_default=True,
    help="The printer's dots per inch.",
)
def draw(layout: str, file: str, fields: tuple[str, ...], dpi: str) -> None:
    """Draw one label as a PNG.

    The picture is read back before it is written: if what it says is not exactly what was asked for, no file
    is written.
    """
    from tracelink.printing.label import write_label  # noqa: PLC0415  drawing loads slowly
    from tracelink.printing.layout import load_layout  # noqa: PLC0415

    data = {}
    for given in fields:
        name, equals, value = given.partition("=")
        if not equals:
            raise UsageError(f"{given!r}: expected FIELD=VALUE")
        data[name] = value
    expected = write_label(Path(file), load_layout(layout), data, int(dpi))
    click.echo(f"{file}: {expected}")


@label.command(epilog="Example: runout label read photo.jpg")
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
def read(files: tuple[str, ...]) -> None:
    """Read the symbols in pictures and print them as a scanner would send them."""
    from tracelink.cli.screen import printable  # noqa: PLC0415
    from tracelink.devices.images import read_image  # noqa: PLC0415  image readers are loaded when wanted

    for file in files:
        for raw in read_image(Path(file)):
            click.echo(printable(raw))
