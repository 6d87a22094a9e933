"""What the commands of `runout case` that write have in common."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import click

from tracelink.cli.common.acting import acting
from tracelink.clock import local_now, utc_now
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.ledger.times import require_local_time
from tracelink.store.office.case_acts import CaseAuthor

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


@dataclass(frozen=True, slots=True)
class Author:
    """Who writes, as said on the command line."""

    place: str
    by: str
    at: str | None
    seen: int | None = None
    reason: str | None = None

    @contextmanager
    def writing(self) -> Iterator[CaseAuthor]:
        """Open the write transaction in which the act is judged and written."""
        reason = self.reason
        if reason is not None and not reason.strip():
            raise UsageError("--reason is empty: say why in a few words")
        badge = PlantCode.parse(self.by).text
        at = local_now() if self.at is None else require_local_time(self.at)
        with acting(self.place, self.by) as booking:
            yield CaseAuthor(booking, Stamp(at, utc_now(), person=badge), reason, self.seen)


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
