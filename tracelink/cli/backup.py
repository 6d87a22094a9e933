"""`runout backup`, `restore` and `copy`: verified copies of the ledger, there and back, and to another engine."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from runout import copy_ledger, open_ledger, restore_ledger
from tracelink.cli.common.progress import progress
from tracelink.errors import UsageError, without_password
from tracelink.ledger.count_words import counted
from tracelink.report.format.plain import size_of

if TYPE_CHECKING:
    from runout import LedgerCopy


@click.command(epilog="Example: runout backup /media/safe --keep 14")
@click.argument("target", metavar="FILE|FOLDER")
@click.option(
    "--keep",
    type=click.IntRange(1),
    metavar="N",
    help="With a folder: afterwards remove all but the newest N, if the new one holds them whole.",
)
@click.pass_context
def backup(ctx: click.Context, target: str, keep: int | None) -> None:
    """Write a verified copy of the ledger while stations run.

    The copy is one consistent state, checked entry by entry, and gets its name only when it is whole. FILE must not
    exist; in a FOLDER the copy is named by ledger and time. Scans not yet closed into an entry are in it as well, the keys
    beside the ledger are not. With --keep an older copy goes only when the new one is verified and begins with the
    same entries: one that does not is kept and told.

    Exit codes: 0 copied, 1 an older copy should have gone and stays, 3 the ledger does not verify.
    """
    if keep is not None and not Path(target).is_dir():
        raise UsageError(f"--keep goes with a folder: expected one, found {target}")
    with open_ledger(ctx.obj, read_only=True) as ledger:
        with progress(ledger.head[0], "Verifying") as bar:
            made = ledger.upkeep.back_up(target, lambda _seq: bar.update(1))
        _tell("Copied", made)
        if keep is None:
            return
        done = ledger.upkeep.thin_out(made, keep)
    for name in done.removed:
        click.echo(f"Removed {name}.")
    for sentence in done.spared:
        click.echo(sentence, err=True)
    ctx.exit(1 if done.spared else 0)


@click.command(epilog="Example: RUNOUT_LEDGER=new.db runout restore /media/safe/ledger-monday.db")
@click.argument("file", metavar="FILE")
@click.pass_obj
def restore(place: str, file: str) -> None:
    """Make a new ledger (named by --ledger) from the copy FILE.

    The copy is verified first. A ledger that exists is never overwritten: move it away yourself, and keep it.
    """
    with open_ledger(file, read_only=True) as copy:
        total = copy.head[0]
    with progress(total, "Verifying") as bar:
        made = restore_ledger(file, place, lambda _seq: bar.update(1))
    _tell("Restored", made)


@click.command(epilog="Example: runout copy runout.db postgresql://plant@db.example.com/plant")
@click.argument("source", metavar="FROM")
@click.argument("target", metavar="TO")
@click.pass_context
def copy(ctx: click.Context, source: str, target: str) -> None:
    """Copy the ledger FROM into the empty place TO, and prove that both are equal.

    Each is the path of a file or the URL of a database, so that a plant can move to a database server and back. Every table is
    compared row by row and the copy is verified before it is kept; one that is killed or not equal leaves nothing in TO. Close
    the stations first: what they book meanwhile is not in the copy, and is counted. Keys are not copied.

    Exit codes: 0 copied, 1 copied and FROM went on meanwhile, 2 TO is not empty, 3 FROM does not verify.
    """
    with open_ledger(source, read_only=True) as ledger:
        total = ledger.head[0]
    with progress(total, "Verifying") as bar:
        made = copy_ledger(source, target, lambda _seq: bar.update(1))
    click.echo(
        f"Copied to {without_password(made.target)}: {counted(made.entries, 'entry', 'entries')}; {made.tables} tables with "
        f"{counted(made.rows, 'row')} are equal on both sides. Head {made.head}"
    )
    if made.missed_entries or made.missed_scans:
        click.echo(
            f"{without_password(source)} went on meanwhile: {counted(made.missed_entries, 'entry', 'entries')} and "
            f"{counted(made.missed_scans, 'scan')} are not in the copy. Close its stations, and copy into another empty place.",
            err=True,
        )
        ctx.exit(1)


def _tell(word: str, made: LedgerCopy) -> None:
    entries, head = made.head
    click.echo(
        f"{word} to {made.file}: {counted(entries, 'entry', 'entries')}, {counted(made.waiting, 'scan')} not yet closed "
        f"into an entry; {size_of(made.size)}, {size_of(made.free)} free. Head {head}"
    )
