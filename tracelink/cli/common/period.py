"""A period of time on the command line: `--from TIME --to TIME`, alike wherever it is asked for."""

from collections.abc import Callable
from typing import Any

import click

from tracelink.errors import InvalidFormat, UsageError
from tracelink.ledger.times import instant, require_local_time

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


def require_period(since: str | None, until: str | None) -> None:
    """Check that both times are times, and in order.

    Raises:
        UsageError: a time has no offset or is none, or the first comes after the second.
    """
    for name, given in (("--from", since), ("--to", until)):
        if given is not None:
            try:
                require_local_time(given)
            except InvalidFormat as problem:
                raise UsageError(f"{name}: {problem}") from None
    if since is not None and until is not None and instant(since) > instant(until):
        raise UsageError(f"--from {since} comes after --to {until}: expected the earlier time first")
