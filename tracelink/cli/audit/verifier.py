"""`runout audit verifier`: the program that checks bundles, from a source that no bundle came from."""

import hashlib
from pathlib import Path

import click

from tracelink.errors import UsageError
from tracelink.printing.output import whole_file
from tracelink.report.bundle.bundle_files import verify_program


@click.command(epilog="Example: runout audit verifier --out verify.py")
@click.option("--out", metavar="FILE", help="Write the program there; nothing that exists is overwritten.")
def verifier(out: str | None) -> None:
    """Show the SHA-256 of verify.py, the program that checks bundles with bare Python, or write it to a file.

    The copy inside a bundle proves nothing against whoever sent that bundle. The line shown is one that
    `sha256sum -c` reads.
    """
    program = verify_program()
    if out is not None:
        file = Path(out)
        if file.exists() or file.is_symlink():
            raise UsageError(f"{out} is there already: expected a name that is not there yet")
        with whole_file(file, "The program") as part:
            part.write_bytes(program)
    click.echo(f"{hashlib.sha256(program).hexdigest()}  {out or 'verify.py'}")
