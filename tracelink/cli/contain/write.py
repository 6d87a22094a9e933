"""A containment, printed: for the screen, for other programs, as page, PDF, workbook and list of consignees."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tracelink.cli.common.files import report_file
from tracelink.printing.output import whole_file
from tracelink.report.format.disc_columns import TOGETHER
from tracelink.report.format.render import render
from tracelink.report.scope.screen_tables import CONTAINER_COLUMNS, container_rows
from tracelink.report.scope.text import scope_text

if TYPE_CHECKING:
    from runout import Containment


_FILES: dict[str, tuple[str, str, Callable[[Containment], str | bytes]]] = {
    "html": (
        ".html",
        "Write the scope document as a page that opens anywhere.",
        lambda answer: answer.to_page(),
    ),
    "pdf": (".pdf", "Write the same document as a PDF.", lambda answer: answer.to_pdf()),
    "xlsx": (
        ".xlsx",
        "Write its tables as a workbook that can be sorted and filtered.",
        lambda answer: answer.to_workbook(),
    ),
    "consignees": (".csv", "Write who has how many as CSV.", lambda answer: answer.recipients_csv()),
}
"""Name of the option -> ending of the file, help, what is written."""

DRAWN = frozenset({"html", "pdf"})
"""Files that have pictures in them."""


def writing(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of the files that a scope can be written to."""
    for name, (_, words, _) in reversed(_FILES.items()):
        command = click.option(f"--{name}", metavar="FILE", help=words)(command)
    return command


def files_of(given: dict[str, Any]) -> dict[str, Path]:
    """Take the options of `writing` out of a command's keywords, and look that each file can be written.

    Raises:
        UsageError: a name has another ending, or its folder does not exist.
    """
    files = {name: report_file(given.pop(name), ending) for name, (ending, _, _) in _FILES.items()}
    return {name: file for name, file in files.items() if file is not None}


def printed(answer: Containment, fmt: str) -> str:
    """Return the answer as table, json or csv; csv lists containers and needs no document."""
    if fmt == "csv" or answer.document is None:
        return render(container_rows(answer.scope), CONTAINER_COLUMNS, "csv")
    if fmt == "json":
        return _json(answer.to_dict())
    told = scope_text(answer.scope, answer.document, answer.query)
    rows = [one.row() for one in answer.together]
    return told + (f"\n{render(rows, TOGETHER, fmt)}" if rows else "")


def _json(data: dict[str, Any]) -> str:
    """The answer with certificates, one line for all of their rows: indented, they would be mostly blanks."""
    *others, (name, certificate), (digest_name, digest) = data.items()
    body = json.dumps(dict(others), ensure_ascii=True, indent=2).removesuffix("\n}")
    packed = json.dumps(certificate, ensure_ascii=True, separators=(",", ":"))
    return f'{body},\n  "{name}": {packed},\n  "{digest_name}": "{digest}"\n}}\n'


def write_files(answer: Containment, files: dict[str, Path]) -> None:
    """Write a document to every file that was asked for, each whole or not at all."""
    for name, file in files.items():
        made = _FILES[name][2](answer)
        with whole_file(file, "The report") as part:
            part.write_bytes(made.encode() if isinstance(made, str) else made)
        click.echo(f"Wrote {file}", err=True)
