"""`runout audit prove`: that one entry is in the journal, for somebody who has nothing else of it."""

import json

import click

from runout import open_ledger


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
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.journal.prove(seq, checkpoint=file)
    click.echo(json.dumps(found.to_dict(), indent=2, ensure_ascii=True))
