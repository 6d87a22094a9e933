"""`runout board`: what runs now and what happened today, one screen for each kind of station."""

from __future__ import annotations

import json
import re
import shutil
import sys
import time
from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.ledger.work_areas import AREAS
from tracelink.report.pages.board_text import board_text

if TYPE_CHECKING:
    from runout import OpenLedger

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_CLEAR = "\x1b[2J\x1b[H"


@click.command(epilog="Example: runout board line --once      Ends with ctrl-C.")
@click.argument("area", type=click.Choice(AREAS), required=False)
@click.option(
    "--once", is_flag=True, help="Print once and end; the same happens when the output is not a terminal."
)
@click.option("--date", "day", metavar="YYYY-MM-DD", help="Counts and stops of this day instead of today.")
@click.option(
    "--every",
    type=click.IntRange(1, 3600),
    metavar="SECONDS",
    default=5,
    show_default=True,
    help="Time to the next reading.",
)
@click.option(
    "--format",
    "fmt",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="How to print; json is stable for other programs and is printed once.",
)
@click.pass_obj
def board(place: str, area: str | None, once: bool, day: str | None, every: int, fmt: str) -> None:
    """Show what stations do now, the day's counts and stops by reason, holds, and lots waiting for a result."""
    if day is not None and not _DAY.fullmatch(day):
        raise UsageError(f"--date is {day}: expected YYYY-MM-DD, such as 2031-03-04")
    with open_ledger(place, read_only=True) as ledger:
        if fmt == "json":
            click.echo(json.dumps(ledger.stations.board(area, day=day).to_dict(), indent=2))
        elif once or not _on_terminal():
            print_report(board_text(ledger.stations.board(area, day=day), local_now()), fmt)
        else:
            _refresh(ledger, area, day, every)


def _refresh(ledger: OpenLedger, area: str | None, day: str | None, every: int) -> None:
    try:
        while True:
            text = board_text(ledger.stations.board(area, day=day), local_now())
            click.echo(_CLEAR + fitted(text, *shutil.get_terminal_size()), nl=False, color=True)
            time.sleep(every)
    except KeyboardInterrupt:
        click.echo()


def fitted(text: str, width: int, height: int) -> str:
    """Return as much of a board as a screen holds, so that its first lines do not run out at the top.

    Args:
        text: the whole board.
        width: of the screen, characters.
        height: of the screen, lines.
    """
    lines = [line if len(line) <= width else f"{line[: width - 1]}…" for line in text.splitlines()]
    # One line stays free for the cursor.
    if len(lines) >= height:
        left = len(lines) - max(1, height - 2)
        lines = [*lines[: max(1, height - 2)], f"{left} more lines: make the window higher"[:width]]
    return "".join(f"{line}\n" for line in lines)


def _on_terminal() -> bool:
    return sys.stdout.isatty()
