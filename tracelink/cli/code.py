"""`runout code`: the plant's own codes made, and any code read in full."""

import click

import runout
from tracelink.cli.common.lazy import SpelledGroup
from tracelink.cli.common.options import format_option
from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode

_LETTERS = {kind.value: kind for kind in CodeKind if kind is not CodeKind.ACT}


@click.group(cls=SpelledGroup, epilog="Example: runout code read L004707P")
def code() -> None:
    """Make the plant's own codes, or say what any code is."""


@code.command(epilog="Example: runout code make L 1 --count 3")
@click.argument("letter", metavar="LETTER")
@click.argument("first", metavar="[NUMBER]", type=click.IntRange(1, 999_999_999), required=False)
@click.option(
    "--count",
    type=click.IntRange(1, 100_000),
    metavar="N",
    default=1,
    show_default=True,
    help="How many, one after the other.",
)
@click.pass_obj
def make(place: str, letter: str, first: int | None, count: int) -> None:
    """Print codes with their check character, one a line: for a plant file, cards and labels.

    LETTER says what the thing is, such as T for a tool or L for a lot; `runout guide plant-file` lists the letters.
    Without NUMBER they go on after the largest that the ledger knows: cards that were printed and never scanned
    it does not know. Nothing is recorded: a code means something once it is in a plant file or was scanned.
    """
    kind = _LETTERS.get(letter.upper())
    if kind is None:
        raise UsageError(f"{letter!r} is not a letter of plant codes: expected one of {', '.join(_LETTERS)}")
    if first is None:
        with runout.open_ledger(place, read_only=True) as ledger:
            first = ledger.labels.next_number(kind.value)
    codes = [PlantCode.build(kind, number).text for number in range(first, first + count)]
    click.echo("\n".join(codes))


@code.command(epilog="Example: runout code read ']C1020952000001234237200' L004707P")
@click.argument("given", metavar="TEXT|FILE...", nargs=-1, required=True)
@click.option(
    "--separator",
    metavar="TEXT",
    help="The character in a text in place of the GS1 separator (GS, character 29), such as ~.",
)
@format_option
@click.pass_context
def read(ctx: click.Context, given: tuple[str, ...], separator: str | None, fmt: str) -> None:
    """Say what a code is, part by part: any scan, any text, every symbol in a picture, every line of a file.

    Told are the symbology, GS1 elements with their rules, plant codes, EPC URNs, GS1 web addresses and check
    characters of every scheme. Codes given together are judged as the labels of one item: which elements need or
    exclude each other. Nothing is booked, and no ledger is asked.

    Exit codes: 0 nothing wrong was found, 1 something is wrong, 4 two readers do not agree on a picture.
    """
    from tracelink.report.format.render import Column, Kind, render  # noqa: PLC0415  `code make` prints no table

    found = runout.read_codes(*given, separator=separator)
    columns = [
        Column("place", "code", Kind.NUMBER),
        Column("what", "what"),
        Column("value", "value", Kind.TEXT),
        Column("judged", "judged"),
        Column("says", "what it says", Kind.TEXT),
    ]
    if fmt != "table":
        columns[1:1] = [Column("code", "text", Kind.TEXT), Column("source", "file", Kind.TEXT)]
    click.echo(render(found.to_dict(), columns, fmt), nl=False)
    ctx.exit(1 if found.is_wrong else 0)
