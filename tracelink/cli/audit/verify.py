"""`runout audit verify`: is the journal whole, is it what it was, and are the tables what it says?"""

import re
from pathlib import Path

import click
from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from tracelink.cli.audit.checkpoint import read_note
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import progress
from tracelink.errors import LedgerDamaged, LedgerError, NotALedger, ProofFails, UsageError
from tracelink.ledger.kept import KeptHead
from tracelink.ledger.note import VerifierKey, parse_checkpoint, parse_verifier_key, require_signed
from tracelink.report.format.render import Cell, Column, render
from tracelink.store.journal import journal
from tracelink.store.journal.keys import held_key, is_signed, key_place
from tracelink.store.journal.verify import Examined, examine
from tracelink.store.ledger import Ledger


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
@format_option
@click.pass_context
def verify(
    ctx: click.Context,
    fmt: str,
    files: tuple[str, ...],
    keys: tuple[str, ...],
    kept: tuple[str, ...],
    journal_only: bool,
) -> None:
    """Check every entry against the one before, and every table against a replay.

    Checked are: the database file, each entry and its raw scans, the Merkle tree, every row and field of every
    table, and that the ledger goes on from what was kept. What is wrong is named: which entry, which row, which
    field. Without anything kept outside, a journal that somebody wrote anew from some entry on, or cut off,
    cannot be told from the true one; with several checkpoints it is said between which two it happened.

    \b
    Exit codes: 0 everything agrees, 3 it does not; each fault is a sentence on standard error.
    """  # noqa: D301  click looks for the character
    known = [parse_verifier_key(text) for text in keys]
    heads = [_kept_head(given) for given in kept]
    with _opened(ctx.obj).reading() as live:
        points, refused = _checkpoints(ctx.obj, files, known)
        with progress(_entries(live), "Verifying") as bar:
            found = examine(live, [*heads, *points], lambda _seq: bar.update(1), replay=not journal_only)
    told = [*refused, *found.faults]
    click.echo(_shown(found, told, fmt), nl=False)
    for one in found.agreeing:
        click.echo(f"{one.name}: agrees with the first {one.size} entries", err=True)
    for sentence in told:
        click.echo(sentence, err=True)
    if found.more:
        click.echo(f"{found.more} more faults are not told one by one", err=True)
    ctx.exit(3 if told else 0)


def _opened(place: str) -> Ledger:
    """Open the ledger; a file that holds none any more does not verify."""
    try:
        return Ledger.open(place, read_only=True)
    except NotALedger as problem:
        raise LedgerDamaged(
            f"{problem}. If it was a ledger, it is damaged: compare it with a backup"
        ) from problem


def _entries(live: Connection) -> int:
    try:
        return journal.head(live).seq
    except (DBAPIError, UnicodeDecodeError):
        # The progress bar is not worth stopping for; what is wrong is told by the examination.
        return 0


def _shown(found: Examined, told: list[str], fmt: str) -> str:
    row: dict[str, Cell] = {
        "entries": found.head.seq,
        "head": found.head.hash,
        "root": None if found.root is None else found.root.hex(),
        "differences": len(told) + found.more,
        "kept": len(found.agreeing),
        "faults": told,
    }
    columns = [
        Column("entries", "entries", number=True),
        Column("head", "head"),
        Column("root", "root"),
        Column("differences", "differences", number=True),
        Column("kept", "kept heads that agree", number=True),
    ]
    if fmt != "table":
        columns.append(Column("faults", "faults"))
    return render([row], columns, fmt)


def _kept_head(given: str) -> KeptHead:
    match = re.fullmatch(r"([1-9][0-9]{0,15}):([0-9a-f]{64})", given.strip().lower())
    if match is None:
        raise UsageError(
            f"--kept {given!r}: expected the number of entries, a colon and the 64 digits of the head"
        )
    return KeptHead(f"the head kept of {match[1]} entries", int(match[1]), head=match[2])


def _checkpoints(
    place: str, files: tuple[str, ...], known: list[VerifierKey]
) -> tuple[list[KeptHead], list[str]]:
    """Read checkpoints and check who signed them; returns the good ones, and why others are not."""
    keys = [*known, *_own_key(place)] if files else known
    if files and not keys:
        raise UsageError("no key is known that could have signed the checkpoints: give one with --key")
    points, refused = [], []
    for file in files:
        try:
            note = read_note(file)
        except ProofFails as problem:
            refused.append(str(problem))
            continue
        try:
            signers = require_signed(note, keys, is_signed)
            point = parse_checkpoint(note.text)
        except ProofFails as problem:
            refused.append(f"{file}: {problem}")
            continue
        name = f"{Path(file).name}, signed by {' and '.join(key.name for key in signers)}"
        points.append(KeptHead(name, point.size, root=point.root))
    return points, refused


def _own_key(place: str) -> list[VerifierKey]:
    """Return the ledger's own key, if it is here and may be read."""
    try:
        with held_key(key_place(place, None)) as held:
            return [held.key.verifier]
    except LedgerError:
        return []
