"""`runout code`: the plant's own codes."""

import click

from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode

_LETTERS = {kind.value: kind for kind in CodeKind if kind is not CodeKind.ACT}


@click.group(epilog="Example: runout code make L 1 --count 3")
def code() -> None:
    """The plant's own codes: a letter, a number and a check character."""


@code.command(epilog="Example: runout code make L 1 --count 3")
@click.argument("letter", metavar="LETTER")
@click.argument("first", metavar="NUMBER", type=click.IntRange(1, 999_999_999))
@click.option(
    "--count",
    type=click.IntRange(1, 100_000),
    default=1,
    show_default=True,
    help="How many, one after the other.",
)
def make(letter: str, first: int, count: int) -> None:
    """Print codes with their check character, one a line: for a plant file, cards and labels.

    LETTER says what the thing is, such as T for a tool or L for a lot; `runout guide plant-file` lists the letters.
    Nothing is recorded: a code means something once it is in a plant file or was scanned.
    """
    kind = _LETTERS.get(letter.upper())
    if kind is None:
        raise UsageError(f"{letter!r} is not a letter of plant codes: expected one of {', '.join(_LETTERS)}")
    codes = [PlantCode.build(kind, number).text for number in range(first, first + count)]
    click.echo("\n".join(codes))
