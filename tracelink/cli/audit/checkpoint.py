"""`runout audit key`, `checkpoint` and `witness`: what to keep outside the plant, signed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from runout import make_signing_key, open_ledger, signing_key
from tracelink.cli.common.progress import progress
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted

if TYPE_CHECKING:
    from runout import SignedCheckpoint

_key = click.option(
    "--key", "key_file", metavar="FILE", help="The signing key; beside the ledger's file unless said."
)


@click.command(epilog="Example: runout audit key")
@_key
@click.option("--make", is_flag=True, help="Make the key first; one that exists is never overwritten.")
@click.option(
    "--name", metavar="NAME", help="With --make: its name, without spaces; the plant's unless said."
)
@click.pass_obj
def key(place: str, key_file: str | None, make: bool, name: str | None) -> None:
    """Show the public half of the signing key, to be handed to whoever checks.

    `runout init` makes the key in a file that only its owner may read. Whoever has it can sign in the plant's
    name: keep a copy under lock, and give away only what this command prints. A witness makes a key of its own.
    """
    if name is not None and not make:
        raise UsageError("--name is for --make: a key that exists keeps its name")
    if make:
        click.echo(make_signing_key(place, key_file=key_file, name=name).public)
    else:
        click.echo(signing_key(place, key_file=key_file).public)


@click.command(epilog="Example: runout audit checkpoint --out checkpoint-2031-03-14.txt")
@click.option("--out", metavar="FILE", help="Write it to a new file instead of the screen.")
@_key
@click.option(
    "--witness",
    "witnesses",
    metavar="KEYFILE",
    multiple=True,
    help="A witness's key, to sign as well; may be given several times.",
)
@click.pass_obj
def checkpoint(place: str, out: str | None, key_file: str | None, witnesses: tuple[str, ...]) -> None:
    """Sign how many entries the ledger has now and what they are, in three lines of text.

    Entries since the last checkpoint are checked first, and that the ledger goes on from it. Keep checkpoints
    outside the plant, or hand them over: with `runout audit verify --checkpoint FILE` each of them shows that
    the entries up to it are still the same, and that none was cut off.

    Exit codes: 0 signed, 3 the ledger does not go on from what was signed before; nothing was signed.
    """
    with open_ledger(place, read_only=True) as ledger, progress(ledger.head[0], "Checking") as bar:
        made = ledger.journal.checkpoint(
            key_file=key_file, witnesses=witnesses, out=out, progress=lambda _seq: bar.update(1)
        )
    if out is None:
        click.echo(made.text, nl=False)
    else:
        click.echo(f"{out}: {_said(made)}")


@click.command(epilog="Example: runout audit witness checkpoint.txt --key witness.key --log NAME+ID+KEY")
@click.argument("file", metavar="FILE")
@click.option("--key", "key_file", metavar="KEYFILE", required=True, help="The witness's own signing key.")
@click.option("--log", metavar="VERIFIERKEY", help="The key of the ledger, as `runout audit key` shows it.")
@click.pass_obj
def witness(place: str, file: str, key_file: str, log: str | None) -> None:
    """Add the signature of a witness to the checkpoint in FILE.

    A witness is anybody outside the plant with a key of their own and a look at the ledger (or a copy of it). Signed
    is only what the ledger bears out and what goes on from the last checkpoint that this witness signed. Two
    histories then need two dishonest parties.

    Exit codes: 0 signed, 3 the checkpoint contradicts the ledger or an earlier one; nothing was signed.
    """
    with open_ledger(place, read_only=True) as ledger:
        signed = ledger.journal.witness(file, key_file, log=log)
    click.echo(f"{file}: {_said(signed)}")


def _said(made: SignedCheckpoint) -> str:
    return f"{counted(made.size, 'entry', 'entries')}, signed by {' and '.join(made.signers)}"
