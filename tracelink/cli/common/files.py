"""Reports as files: looked at before anything is worked out, written whole or not at all."""

from pathlib import Path

import click

from tracelink.errors import UsageError
from tracelink.printing.output import whole_file


def report_file(given: str | None, ending: str) -> Path | None:
    """Return where a report goes, after looking that it can: a report never takes the place of another file.

    Args:
        given: as on the command line; None if no report is wanted.
        ending: what the name must end in, such as ".html". A ledger or a plant file never does.
    """
    if given is None:
        return None
    file = Path(given)
    if file.suffix.lower() != ending:
        raise UsageError(f"{given}: expected a file name that ends in {ending}")
    if not file.parent.is_dir():
        raise UsageError(f"{given}: the folder {file.parent} does not exist")
    return file


def write_text(file: Path, text: str) -> None:
    """Write a report whole or not at all."""
    with whole_file(file, "The report") as part:
        part.write_text(text, encoding="utf-8")
    click.echo(f"Wrote {file}", err=True)
