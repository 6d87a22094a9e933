"""A scope, written: for the screen, for other programs, as page, PDF, workbook and list of consignees."""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
from sqlalchemy import Connection

from tracelink.cli.trace import report_file
from tracelink.genealogy.certificate.digest import DIGEST, digest_of
from tracelink.genealogy.certificate.write import certificate_of
from tracelink.genealogy.containment.contain import Scope, holds_for
from tracelink.printing.output import whole_file
from tracelink.report.format.render import render
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.text import (
    CONTAINER_COLUMNS,
    RECIPIENT_COLUMNS,
    container_rows,
    recipient_rows,
    scope_text,
)
from tracelink.services.question import Question, judged
from tracelink.services.scope_document import scope_document
from tracelink.services.scope_lives import lives_of
from tracelink.services.together import TOGETHER_COLUMNS, JointBounds
from tracelink.store.records.scope_facts import scope_facts
from tracelink.store.records.sql_records import SqlRecords

_FILES = (
    ("html", ".html", "Write the scope document as a page that opens anywhere."),
    ("pdf", ".pdf", "Write the same document as a PDF."),
    ("xlsx", ".xlsx", "Write its tables as a workbook that can be sorted and filtered."),
    ("consignees", ".csv", "Write who has how many as CSV."),
)
"""Name of the option, ending of the file, help."""


def writing(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of the files that a scope can be written to."""
    for name, _, words in reversed(_FILES):
        command = click.option(f"--{name}", metavar="FILE", help=words)(command)
    return command


def files_of(given: dict[str, Any]) -> dict[str, Path]:
    """Take the options of `writing` out of a command's keywords, and look that each file can be written.

    Raises:
        UsageError: a name has another ending, or its folder does not exist.
    """
    files = {name: report_file(given.pop(name), ending) for name, ending, _ in _FILES}
    return {name: file for name, file in files.items() if file is not None}


@dataclass(frozen=True, slots=True)
class Made:
    """A document, and what draws its pictures."""

    document: ScopeDocument
    """The facts."""
    sections: Any
    """The same in sections, a `report.document.Document`; None unless a page or a PDF is wanted."""


def made(conn: Connection, asked: Question, scope: Scope, at: str, files: dict[str, Path]) -> Made:
    """Make the document of a scope, inside the transaction that the scope was computed in.

    Args:
        conn: its connection.
        asked: the question.
        scope: the answer.
        at: when it is made, RFC 3339 with offset.
        files: what is to be written.
    """
    records = SqlRecords(conn)
    lives = lives_of(records, scope, judged(records, asked, scope))
    judgements = [one.judgement for life in lives for one in life.judged]
    document = scope_document(records, scope, lives, scope_facts(conn, scope, judgements), at=at)
    if not {"html", "pdf"} & set(files):
        return Made(document, None)
    # Pictures and sections cost a moment, which only those who want them pay.
    from tracelink.report.scope.pictures import scope_pictures  # noqa: PLC0415
    from tracelink.report.scope.sections import scope_sections  # noqa: PLC0415

    pictures = scope_pictures(records, scope, lives, judgements, at=at)
    return Made(document, scope_sections(document, pictures))


def printed(
    scope: Scope, document: ScopeDocument | None, fmt: str, together: Sequence[JointBounds] = ()
) -> str:
    """Return the scope as table, json or csv; csv lists containers and needs no document."""
    if fmt == "csv" or document is None:
        return render(container_rows(scope), CONTAINER_COLUMNS, "csv")
    if fmt == "json":
        return _document(scope, document, together)
    asked = render([one.row() for one in together], TOGETHER_COLUMNS, fmt) if together else ""
    return scope_text(scope, document) + (f"\n{asked}" if asked else "")


def _document(scope: Scope, document: ScopeDocument, together: Sequence[JointBounds]) -> str:
    """The scope with certificates, one line for each of their rows: indented, they would be mostly blanks."""
    data = scope.to_json()
    data["holds"] = [
        {"subject": item.subject, "first": item.first, "last": item.last} for item in holds_for(scope)
    ]
    data["document"] = document.to_json()
    data["together"] = [_set(one) for one in together]
    data["certificate"] = certificate_of(scope, [(one.name, one.places) for one in together])
    data[DIGEST] = digest_of(data)
    certificate = data.pop("certificate")
    digest = data.pop(DIGEST)
    body = json.dumps(data, ensure_ascii=True, indent=2).removesuffix("\n}")
    packed = json.dumps(certificate, ensure_ascii=True, separators=(",", ":"))
    return f'{body},\n  "certificate": {packed},\n  "{DIGEST}": "{digest}"\n}}\n'


def _set(one: JointBounds) -> dict[str, Any]:
    bound = one.bound
    numbers = {"pieces": bound.pieces, "least": bound.least, "most": bound.most, "tight": bound.tight}
    return {"codes": list(one.codes), **numbers}


def write_files(found: Made, files: dict[str, Path]) -> None:
    """Write a document to every file that was asked for, each whole or not at all."""
    for name, file in files.items():
        with whole_file(file, "The report") as part:
            part.write_bytes(_WRITERS[name](found))
        click.echo(f"Wrote {file}", err=True)


def _html(found: Made) -> bytes:
    from tracelink.report.format.page import document_page  # noqa: PLC0415  made only when asked for

    return document_page(found.sections).encode()


def _pdf(found: Made) -> bytes:
    from tracelink.report.format.document_pdf import document_pdf  # noqa: PLC0415  made only when asked for

    return document_pdf(found.sections)


def _xlsx(found: Made) -> bytes:
    from tracelink.report.scope.workbook import scope_workbook  # noqa: PLC0415  made only when asked for

    return scope_workbook(found.document)


def _consignees(found: Made) -> bytes:
    return render(recipient_rows(found.document), RECIPIENT_COLUMNS, "csv").encode()


_WRITERS: dict[str, Callable[[Made], bytes]] = {
    "html": _html,
    "pdf": _pdf,
    "xlsx": _xlsx,
    "consignees": _consignees,
}
