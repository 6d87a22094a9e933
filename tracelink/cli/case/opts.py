"""What the commands of `runout case` that write have in common."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

import runout
from tracelink.cli.common.acting import badge_of
from tracelink.errors import UsageError

_BY = click.option("--by", metavar="BADGE", required=True, help="Who does it.")
_BY_IF_WRITING = click.option(
    "--by", metavar="BADGE", help="Who does it; not needed where nothing is written."
)
_AT = click.option("--at", metavar="TIME", help="When it was, if not now (RFC 3339 with offset).")
_VERSION = click.option(
    "--version",
    "seen",
    metavar="ENTRY",
    type=click.IntRange(1),
    help="The case's last entry as you saw it; refused if somebody wrote to it since.",
)
reason_option: Callable[[Any], Any] = click.option("--reason", metavar="TEXT", required=True, help="Why.")
consignee_option: Callable[[Any], Any] = click.option(
    "--consignee", metavar="NAME", required=True, help="The consignee, as the case names it."
)


def signer_of(
    by: str, at: str | None = None, seen: int | None = None, reason: str | None = None
) -> runout.CaseSigner:
    """Return who writes, as said on the command line.

    Raises:
        UsageError: the reason is empty.
    """
    if reason is not None and not reason.strip():
        raise UsageError("--reason is empty: say why in a few words")
    return runout.CaseSigner(badge_of(by), reason, at, seen)


def author_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command --by and --at."""
    return _BY(_AT(command))


def case_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command that writes to a case its code, --by, --at and --version."""
    return _of_case(_BY, command)


def maybe_case_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The same for a command that can also only show: --by may be left out there."""
    return _of_case(_BY_IF_WRITING, command)


def _of_case(by: Callable[[Any], Any], command: Callable[..., Any]) -> Callable[..., Any]:
    made: Callable[..., Any] = click.argument("case")(by(_AT(_VERSION(command))))
    return made


def items_given(items: tuple[str, ...]) -> dict[str, str]:
    """Read what was given with --item NAME=TEXT.

    Raises:
        UsageError: one has another form.
    """
    found: dict[str, str] = {}
    for item in items:
        name, equals, text = item.partition("=")
        if not equals:
            raise UsageError(f"--item {item!r}: expected NAME=TEXT")
        found[name.strip()] = text
    return found
