"""`runout contain --check FILE`: every certificate of a scope, checked against this ledger's movements."""

import json
from pathlib import Path
from typing import Any

import click

from tracelink.cli.common.options import format_option
from tracelink.errors import LedgerError, NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.check_certificate import BoundCheck, CheckVerdict, check, lots_in
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.digest import require_digest
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.store.journal import journal
from tracelink.store.ledger import read_ledger
from tracelink.store.records.sql_records import SqlRecords

LARGEST_FILE = 256 * 2**20
"""Bytes; a scope of ten thousand cartons takes a tenth of it."""

_COLUMNS = (
    Column("kind", "kind"),
    Column("code", "bound of"),
    Column("verdict", "verdict"),
    Column("why", "why", Kind.TEXT),
)


@click.command(name="contain")
@click.option("--check", "file", metavar="FILE", required=True, help="A scope written with --format json.")
@format_option
@click.pass_context
def contain_check(ctx: click.Context, file: str, fmt: str) -> None:
    """Check every bound of a written scope against the movements, without solving anything again.

    \b
    Exit codes: 0 every bound confirmed, 1 some only in part, 2 the file is not a scope, 3 something does not verify.
    """  # noqa: D301  click looks for the character
    document = _document(file)
    with read_ledger(ctx.obj) as conn:
        try:
            head, digest = _head(document)
            _require_entry(head, digest, journal.hash_at(conn, head))
            records = SqlRecords(conn)
            outcomes = check(document, {lot: record_of(records, lot, head) for lot in lots_in(document)})
        except UsageError as problem:
            raise UsageError(f"{file}: {problem}") from None
        except NotCertified as problem:
            raise NotCertified(f"{file}: {problem}") from None
        except RecursionError:
            raise UsageError(f"{file} is not a scope: it is nested too deeply") from None
    changed = _changed(document)
    odd = [one for one in outcomes if one.verdict is not CheckVerdict.CONFIRMED]
    rows = [_row(one) for one in (odd if fmt == "table" else outcomes)]
    if rows or fmt != "table":
        click.echo(render(rows, _COLUMNS, fmt), nl=False)
    click.echo(_summary(file, outcomes, head), err=fmt != "table")
    if changed:
        click.echo(f"{file}: {changed}", err=True)
    ctx.exit(3 if changed else _exit_code(outcomes))


def _changed(document: dict[str, Any]) -> str:
    """Return what the digest says of the file; nothing if it fits."""
    try:
        require_digest(document)
    except NotCertified as problem:
        return str(problem)
    return ""


def _row(one: BoundCheck) -> dict[str, Cell]:
    return {"kind": one.kind, "code": one.code, "verdict": one.verdict.value, "why": one.why}


def _summary(file: str, outcomes: list[BoundCheck], head: int) -> str:
    counts = {verdict: sum(one.verdict is verdict for one in outcomes) for verdict in CheckVerdict}
    return (
        f"{file}: {counts[CheckVerdict.CONFIRMED]} of {len(outcomes)} bounds confirmed by the movements up to entry {head}, "
        f"{counts[CheckVerdict.ONE_SIDED]} in part, {counts[CheckVerdict.FAILS]} not. Tiers and judged samples are taken from the file."
    )


def _exit_code(outcomes: list[BoundCheck]) -> int:
    verdicts = {one.verdict for one in outcomes}
    if CheckVerdict.FAILS in verdicts:
        return 3
    return 1 if CheckVerdict.ONE_SIDED in verdicts else 0


def _document(file: str) -> dict[str, Any]:
    path = Path(file)
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise UsageError(f"{file} has {size} bytes; expected a scope of at most {LARGEST_FILE}")
        found = json.loads(path.read_text(encoding="utf-8"), parse_constant=_no_constant)
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror}") from None
    except (ValueError, RecursionError) as problem:
        if isinstance(problem, LedgerError):
            raise
        raise UsageError(f"{file} is not a scope: expected JSON, found {_found(problem)}") from None
    if not isinstance(found, dict):
        raise UsageError(f"{file} is not a scope: expected an object, found {type(found).__name__}")
    return found


def _found(problem: ValueError | RecursionError) -> str:
    if isinstance(problem, json.JSONDecodeError):
        return f"a text that cannot be read from line {problem.lineno}, column {problem.colno} on: it may be cut off"
    if isinstance(problem, UnicodeDecodeError):
        return f"no UTF-8 text: byte {problem.start} cannot be read"
    return str(problem)[:120]


def _no_constant(text: str) -> None:
    raise ValueError(f"{text}, which is not JSON")


def _head(document: dict[str, Any]) -> tuple[int, str]:
    """Return the entry up to which the scope looked, and its hash as the scope has it."""
    head = take.member(document, "head")
    return take.number(head, "seq"), take.text(head, "hash")


def _require_entry(seq: int, digest: str, found: str | None) -> None:
    """Refuse a scope made from another ledger than this one."""
    if found != digest:
        what = "has no such entry" if found is None else f"has {found[:16]} there"
        raise NotCertified(f"it was made from entry {seq} ({digest[:16]}), and this ledger {what}")
