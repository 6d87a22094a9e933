"""`runout audit key`, `checkpoint` and `witness`: what to keep outside the plant, signed."""

from pathlib import Path

import click

from tracelink.cli.common.opened import opened
from tracelink.cli.common.progress import progress
from tracelink.errors import UsageError
from tracelink.ledger.proof.note import Note, VerifierKey, parse_verifier_key, require_key_name
from tracelink.services.signed_notes import read_note
from tracelink.store.journal import journal
from tracelink.store.journal.checkpoints import add_witness, log_name, sign_checkpoint
from tracelink.store.journal.keys import held_key, key_place, make_key, write_whole
from tracelink.store.ledger import read_ledger

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
    file = key_place(place, key_file)
    if make:
        click.echo(str(make_key(file, _name(place, name))))
        return
    with held_key(file) as held:
        click.echo(str(held.key.verifier))


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

    \b
    Exit codes: 0 signed, 3 the ledger does not go on from what was signed before; nothing was signed.
    """  # noqa: D301  click looks for the character
    file = key_place(place, key_file)
    if out is not None and Path(out).exists():
        raise UsageError(f"{out} exists already; an earlier checkpoint is never overwritten")
    if out is not None and not Path(out).parent.is_dir():
        raise UsageError(f"{out}: the folder {Path(out).parent} does not exist")
    ledger = opened(place, read_only=True)
    with (
        ledger.reading() as conn,
        held_key(file) as held,
        progress(journal.head(conn).seq, "Checking") as bar,
    ):
        note = sign_checkpoint(conn, held, lambda _seq: bar.update(1))
        log = held.key.verifier
        for witness in witnesses:
            with held_key(Path(witness)) as watching:
                note = add_witness(conn, note, log, watching)
    if out is None:
        click.echo(note.encoded().decode(), nl=False)
        return
    write_whole(Path(out), note.encoded())
    click.echo(f"{out}: {_said(note)}")


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

    \b
    Exit codes: 0 signed, 3 the checkpoint contradicts the ledger or an earlier one; nothing was signed.
    """  # noqa: D301  click looks for the character
    note = read_note(file)
    ledger = opened(place, read_only=True)
    signer = _log_key(place, log)
    with ledger.reading() as conn, held_key(Path(key_file)) as held:
        signed = add_witness(conn, note, signer, held)
    write_whole(Path(file), signed.encoded())
    click.echo(f"{file}: {_said(signed)}")


def _name(place: str, name: str | None) -> str:
    if name is not None:
        return require_key_name(name)
    with read_ledger(place) as conn:
        return log_name(conn)


def _log_key(place: str, given: str | None) -> VerifierKey:
    if given is not None:
        return parse_verifier_key(given)
    with held_key(key_place(place, None)) as held:
        return held.key.verifier


def _said(note: Note) -> str:
    size = note.text.split("\n")[1]
    return f"{size} entries, signed by {' and '.join(one.name for one in note.signatures)}"
