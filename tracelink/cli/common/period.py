"""A period of time on the command line: `--from TIME --to TIME`, alike wherever it is asked for."""

from collections.abc import Callable
from typing import Any

import click

Command = Callable[..., Any]


def period_options(what: str) -> tuple[Callable[[Command], Command], Callable[[Command], Command]]:
    """Return the options `--from` and `--to`, as keywords `since` and `until`.

    Args:
        what: what is taken from the period, for the help.
    """
    return (
        click.option(
            "--from",
            "since",
            metavar="TIME",
            help=f"Only {what} at this time or later (RFC 3339 with offset).",
        ),
        click.option("--to", "until", metavar="TIME", help=f"Only {what} at this time or earlier."),
    )
