"""`runout audit check`: check an audit bundle, ours or another plant's."""

from pathlib import Path

import click

from tracelink.errors import UsageError
from tracelink.report.bundle import verify_bundle


@click.command(epilog="Example: runout audit check lot.zip --key NAME+ID+KEY")
@click.argument("bundle", metavar="BUNDLE")
@click.option(
    "--key", "keys", metavar="NAME+ID+KEY", multiple=True, help="The key of the journal it is from."
)
@click.option(
    "--witness", "witnesses", metavar="NAME+ID+KEY", multiple=True, help="The key of another signer."
)
@click.option("--held", metavar="FILE", multiple=True, help="A checkpoint that you kept.")
@click.pass_context
def check(
    ctx: click.Context, bundle: str, keys: tuple[str, ...], witnesses: tuple[str, ...], held: tuple[str, ...]
) -> None:
    """Check the audit bundle BUNDLE, a folder or a zip file; nothing is unpacked, no ledger is needed.

    It is the very check of the verify.py that lies in every bundle, taken from this program instead.

    Exit codes: 0 all of it holds with the key given, 1 it holds with reservations, 3 it does not verify.
    """
    if not Path(bundle).exists():
        raise UsageError(f"{bundle} does not exist: expected a folder or a zip file")
    words = [bundle]
    for option, given in (("--key", keys), ("--witness", witnesses), ("--held", held)):
        words += [word for each in given for word in (option, each)]
    ctx.exit(verify_bundle.main(words))
