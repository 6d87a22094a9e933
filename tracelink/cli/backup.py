"""`runout backup` and `runout restore`: a verified copy of the ledger, there and back."""

import shutil
from pathlib import Path

import click

from tracelink.cli.common.opened import opened
from tracelink.cli.common.progress import progress
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.report.format.plain import size_of
from tracelink.store.database.backup import copy_ledger
from tracelink.store.database.engine import ledger_url, require_writable
from tracelink.store.database.retention import backup_name, require_room, thin_out
from tracelink.store.ledger import utc_now


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

    \b
    Exit codes: 0 copied, 1 an older copy should have gone and stays, 3 the ledger does not verify.
    """  # noqa: D301  click looks for the character
    place, file = str(ctx.obj), Path(target)
    if keep is not None and not file.is_dir():
        raise UsageError(f"--keep goes with a folder: expected one, found {target}")
    if file.is_dir():
        file = backup_name(place, file, utc_now())
    if ledger_url(place).get_backend_name() == "sqlite" and file.parent.is_dir():
        require_room(place, file.parent)
    _copied(place, file, "Copied")
    if keep is None:
        return
    done = thin_out(place, file, keep)
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
    require_writable(place)
    if Path(file).is_file() and Path(place).parent.is_dir():
        require_room(file, Path(place).parent)
    _copied(file, Path(place), "Restored")


def _copied(source: str, target: Path, word: str) -> None:
    total = opened(source, read_only=True).head().seq
    with progress(total, "Verifying") as bar:
        head, waiting = copy_ledger(source, target, lambda _seq: bar.update(1))
    size, free = target.stat().st_size, shutil.disk_usage(target.parent).free
    click.echo(
        f"{word} to {target}: {counted(head.seq, 'entry', 'entries')}, {counted(waiting, 'scan')} not yet closed into an "
        f"entry; {size_of(size)}, {size_of(free)} free. Head {head.hash}"
    )
