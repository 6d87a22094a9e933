"""`runout audit verify`: is the journal whole, is it what it was, and are the tables what it says?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

import runout
from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import progress
from tracelink.cli.common.say import print_report
from tracelink.errors import LedgerDamaged, NotALedger
from tracelink.ledger.count_words import counted
from tracelink.report.format.render import Column, Kind, render
from tracelink.report.pages.verify_text import verify_text

if TYPE_CHECKING:
    from runout import OpenLedger, Verification


@click.command(epilog="Example: runout audit verify --checkpoint checkpoint.txt")
@click.option(
    "--checkpoint",
    "files",
    metavar="FILE",
    multiple=True,
    help="A checkpoint kept from earlier; may be given several times.",
)
@click.option(
    "--key",
    "keys",
    metavar="VERIFIERKEY",
    multiple=True,
    help="A key that may have signed them, as `runout audit key` shows it; the ledger's own is known.",
)
@click.option(
    "--kept",
    metavar="ENTRIES:HEAD",
    multiple=True,
    help="A head kept from earlier, such as 54:e87d63ad...; may be given several times.",
)
@click.option(
    "--journal-only", is_flag=True, help="Leave the tables out: much faster, and the journal is the truth."
)
@click.option(
    "--judge-again",
    is_flag=True,
    help="Judge every raw scan again, in its turn, and compare what it leads to with the entries.",
)
@format_option
@click.pass_context
def verify(
    ctx: click.Context,
    fmt: str,
    files: tuple[str, ...],
    keys: tuple[str, ...],
    kept: tuple[str, ...],
    journal_only: bool,
    judge_again: bool,
) -> None:
    """Check every entry against the one before, and every table against a replay.

    Checked are: the database file, each entry and its raw scans, the Merkle tree, every row and field of every
    table, and that the ledger goes on from what was kept. What is wrong is named: which entry, which row, which
    field. Without anything kept outside, a journal that somebody wrote anew from some entry on, or cut off,
    cannot be told from the true one; with several checkpoints it is said between which two it happened.

    --judge-again books all raw scans anew into an empty ledger, through the same stations, with every command in its
    place as it is recorded. The first entry that no scan leads to is named, however well it hangs in the chain.

    Exit codes: 0 everything agrees, 1 it does but recording times run back or jump, 3 it does not; each fault
    and each such entry is a sentence on standard error.
    """
    kept_outside = runout.KeptOutside(files, keys, kept)
    with _opened(ctx.obj) as ledger, progress(_entries(ledger), "Verifying") as bar:
        found = ledger.verify(
            kept_outside,
            tables=not journal_only,
            judge_again=judge_again,
            progress=lambda _seq: bar.update(1),
        )
    if fmt == "table":
        [row] = found.to_dict()
        told = verify_text(row, _JUDGED if judge_again else (), tables=not journal_only)
        print_report(told, fmt)
    else:
        columns = [*_COLUMNS, Column("faults", "faults"), Column("clock", "clock"), *_JUDGED]
        click.echo(render(found.to_dict(), columns, fmt), nl=False)
    for name, size in found.agreeing:
        click.echo(f"{name}: agrees with the first {counted(size, 'entry', 'entries')}", err=True)
    for sentence in found.faults:
        click.echo(sentence, err=True)
    if found.more:
        click.echo(f"{found.more} more faults are not told one by one", err=True)
    for sentence in found.clock:
        click.echo(sentence, err=True)
    if found.more_clock:
        click.echo(f"{counted(found.more_clock, 'more such entry', 'more such entries')}", err=True)
    ctx.exit(_exit_code(found))


def _exit_code(found: Verification) -> int:
    if not found.agrees:
        return 3
    return 1 if found.clock else 0


_COLUMNS = [
    Column("entries", "entries", Kind.COUNT),
    Column("head", "head"),
    Column("root", "root"),
    Column("differences", "differences", Kind.COUNT),
    Column("kept", "kept heads that agree", Kind.COUNT),
]
_JUDGED = [
    Column("scans", "scans judged again", Kind.COUNT),
    Column("forced", "entries they force", Kind.COUNT),
    Column("given", "entries of commands", Kind.COUNT),
    Column("reworded", "put in other words", Kind.COUNT),
    Column("not_judged", "entries not judged", Kind.COUNT),
]


def _opened(place: str) -> OpenLedger:
    """Open the ledger; a file that holds none any more does not verify."""
    try:
        return open_ledger(place, read_only=True)
    except NotALedger as problem:
        raise LedgerDamaged(
            f"{problem}. If it was a ledger, it is damaged: compare it with a backup"
        ) from problem


def _entries(ledger: OpenLedger) -> int:
    try:
        return ledger.head[0]
    except (LedgerDamaged, UnicodeDecodeError):
        # The progress bar is not worth stopping for; what is wrong is told by the examination.
        return 0
