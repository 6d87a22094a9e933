"""The options of a containment query, alike wherever it is asked: `runout contain`, `runout case open|scope`."""

from collections.abc import Callable, Mapping
from typing import Any

import click

from tracelink.cli.common.period import period_options
from tracelink.errors import UsageError
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS
from tracelink.genealogy.containment.query import (
    MOST_TESTS,
    SECONDS,
    ContainmentQuery,
    Evidence,
    parse_defect,
    parse_seconds,
    parse_window,
)
from tracelink.genealogy.model.shapes import Shape

_SHAPES = [shape.value for shape in Shape]
_OPTIONS: tuple[Callable[[Any], Any], ...] = (
    # Not required here: `contain --again` and `case scope` may do without them. `read_query` asks for them.
    click.argument("code", required=False),
    click.option(
        "--shape",
        type=click.Choice(_SHAPES),
        help="How the fault began and went on along the life of the cause.",
    ),
    click.option(
        "--evidence",
        metavar="LOT:STROKE=good|bad[:DEFECT]",
        multiple=True,
        help="A judged disc that the lab has not recorded, or a unit by its serial label: U000123M=bad. May be given several times.",
    ),
    click.option("--defect", metavar="NAME", help="Count a sample as bad only for this defect."),
    click.option(
        "--window", metavar="FIRST-LAST", help="For --shape window: strokes, or entries for a press."
    ),
    click.option("--also", metavar="CODE", multiple=True, help="Or this cause; may be given several times."),
    click.option(
        "--only-with",
        metavar="CODE[,CODE...]",
        multiple=True,
        help="Only discs that this cause touched too, or any of several; may be given several times.",
    ),
    *period_options("what a station or person did"),
    click.option(
        "--next-tests",
        type=click.IntRange(0, MOST_TESTS),
        metavar="N",
        help=f"How many discs to name whose test would narrow the scope most; {DEFAULT_TESTS} unless given.",
    ),
    click.option(
        "--seconds",
        metavar="N",
        help=f"Time for question and certificate, {SECONDS} unless given; past it limits hold, but are not called exact.",
    ),
)
NAMES = (
    "code",
    "shape",
    "evidence",
    "defect",
    "window",
    "also",
    "only_with",
    "since",
    "until",
    "next_tests",
    "seconds",
)
"""The keywords that a command gets from `query_options`."""


def query_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the argument and options of a query; it gets them as the keywords `NAMES`."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def is_asked(given: Mapping[str, Any]) -> bool:
    """Return whether any word of a query was given."""
    return any(given[name] not in (None, ()) for name in NAMES)


def read_query(given: Mapping[str, Any]) -> ContainmentQuery:
    """Return the query that the keywords of `query_options` spell.

    Raises:
        UsageError: cause or shape is missing, or a word has the wrong form.
        IdentifierError: the code of a lot is invalid.
    """
    if given["code"] is None:
        raise UsageError("CODE is missing: expected the code of the cause, such as a stamper, lot or carton")
    if given["shape"] is None:
        raise UsageError(f"--shape is missing: expected one of {', '.join(_SHAPES)} (how the fault began)")
    tests = given["next_tests"]
    return ContainmentQuery(
        cause=given["code"],
        shape=Shape(given["shape"]),
        evidence=tuple(map(Evidence.parse, given["evidence"])),
        defect=parse_defect(given["defect"]),
        window=None if given["window"] is None else parse_window(given["window"]),
        also=given["also"],
        only_with=tuple(tuple(clause.split(",")) for clause in given["only_with"]),
        since=given["since"],
        until=given["until"],
        next_tests=DEFAULT_TESTS if tests is None else tests,
        seconds=parse_seconds(given["seconds"]),
    )
