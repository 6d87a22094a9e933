"""`runout backup` and `runout restore`: a verified copy of the ledger, there and back."""

from pathlib import Path

import click

from tracelink.cli.progress import progress
from tracelink.store.backup import copy_ledger
from tracelink.store.engine import require_writable
from tracelink.store.ledger import Ledger


@click.command(epilog="Example: runout backup /media/safe/ledger-monday.db")
@click.argument("file", metavar="FILE")
@click.pass_obj
def backup(place: str, file: str) -> None:
    """Write a verified copy of the ledger to FILE while stations run.

    The copy is one consistent state, checked entry by entry, and gets its name only when it is whole. FILE must
    not exist. Scans that are not sealed yet are in it as well.
    """
    _copied(place, Path(file), "Copied")


@click.command(epilog="Example: RUNOUT_LEDGER=new.db runout restore /media/safe/ledger-monday.db")
@click.argument("file", metavar="FILE")
@click.pass_obj
def restore(place: str, file: str) -> None:
    """Make a new ledger (named by --ledger) from the copy FILE.

    The copy is verified first. A ledger that exists is never overwritten: move it away yourself, and keep it.
    """
    require_writable(place)
    _copied(file, Path(place), "Restored")


def _copied(source: str, target: Path, word: str) -> None:
    total = Ledger.open(source, read_only=True).head().seq
    with progress(total, "Verifying") as bar:
        head, waiting = copy_ledger(source, target, lambda _seq: bar.update(1))
    size = target.stat().st_size
    click.echo(
        f"{word} to {target}: {head.seq} entries, {waiting} scans not sealed yet, {size} bytes. Head {head.hash}"
    )
