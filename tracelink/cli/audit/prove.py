"""`runout audit prove`: that one entry is in the journal, for somebody who has nothing else of it."""

import json

import click

from tracelink.cli.common.opened import opened
from tracelink.ledger.proof.note import Checkpoint, parse_checkpoint
from tracelink.services.signed_notes import read_note
from tracelink.store.journal import journal, subtrees
from tracelink.store.journal.checkpoints import require_root


@click.command(epilog="Example: runout audit prove 42 --checkpoint checkpoint.txt")
@click.argument("seq", type=click.IntRange(min=1), metavar="ENTRY")
@click.option(
    "--checkpoint", "file", metavar="FILE", help="Prove it to this checkpoint, not to the entries now."
)
@click.pass_obj
def prove(place: str, seq: int, file: str | None) -> None:
    """Print entry number ENTRY with the proof that it is among the entries of a checkpoint, as JSON.

    Fields: entry (its number), canonical (its text), index (counted from 0), size, root and path (hexadecimal,
    lowest first), checkpoint (the signed note, null without one). To check it by hand: SHA-256 over a byte 0 and the text
    is the leaf; RFC 9162 section 2.1.3.2 leads from leaf and path to the root, which the checkpoint signs.
    """
    note = None if file is None else read_note(file)
    point = None if note is None else parse_checkpoint(note.text)
    ledger = opened(place, read_only=True)
    with ledger.reading() as conn:
        row = journal.row_at(conn, seq)
        size = journal.head(conn).seq if point is None else point.size
        root = subtrees.root(conn, size)
        path = subtrees.inclusion(conn, seq, size)
    require_root(point or Checkpoint("", size, root), root)
    found = {
        "entry": seq,
        "canonical": row.canonical.decode(),
        "index": seq - 1,
        "size": size,
        "root": root.hex(),
        "path": [one.hex() for one in path],
        "checkpoint": None if note is None else note.encoded().decode(),
    }
    click.echo(json.dumps(found, indent=2, ensure_ascii=True))
