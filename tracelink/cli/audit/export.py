"""`runout audit export`: the genealogy of a lot, carton, pallet or case, for somebody who checks it without us."""

from collections.abc import Callable
from pathlib import Path

import click
from sqlalchemy import Connection

from tracelink.cli.common.progress import progress
from tracelink.errors import ProofFails, UsageError
from tracelink.ledger.note import Note, parse_note
from tracelink.ledger.plantfile import require_domain
from tracelink.printing.output import whole_file, whole_folder
from tracelink.report.bundle.files import Seal, zipped
from tracelink.report.bundle.verify_bundle import seal_text
from tracelink.services.audit_bundle import Signed, make_bundle, unsigned_checkpoint
from tracelink.services.codes import resolve
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal
from tracelink.store.journal.checkpoints import log_name, sign_checkpoint
from tracelink.store.journal.keys import SigningKey, held_key, key_place
from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords

_LONGEST_NOTE = 1 << 20


@click.command(epilog="Example: runout audit export L000012X --out lot.zip")
@click.argument("code", metavar="LOT|CARTON|PALLET|CASE")
@click.option(
    "--out",
    metavar="PLACE",
    help="A name that ends in .zip, or a folder to be made; audit-CODE.zip if not given.",
)
@click.option("--pseudonyms", is_flag=True, help="Show people by their badges; withhold entries with names.")
@click.option(
    "--since", metavar="FILE", help="A checkpoint from before: the bundle proves growth since then."
)
@click.option(
    "--checkpoint", metavar="FILE", help="Prove by this signed checkpoint instead of signing one now."
)
@click.option("--unsigned", is_flag=True, help="Prove by a checkpoint that nobody signs.")
@click.option(
    "--key", "key_file", metavar="FILE", help="The signing key; beside the ledger's file unless said."
)
@click.option("--domain", metavar="HOST", help="Where the plant's identifiers live, such as id.example.org.")
@click.pass_obj
def export(
    place: str,
    code: str,
    out: str | None,
    pseudonyms: bool,
    since: str | None,
    checkpoint: str | None,
    unsigned: bool,
    key_file: str | None,
    domain: str | None,
) -> None:
    """Write an audit bundle: report, tables, entries with proofs, and a program that checks them.

    Whoever gets it needs neither the ledger nor this program: verify.py inside runs on bare Python. The same ledger
    gives the same bytes. Nothing that exists is overwritten.

    \b
    Exit codes: 0 written, 3 the ledger does not verify; nothing was written.
    """  # noqa: D301  click looks for the character
    if unsigned and checkpoint is not None:
        raise UsageError("--unsigned and --checkpoint contradict each other: give one of them")
    if domain is not None:
        require_domain(domain, "--domain")
    ledger = Ledger.open(place, read_only=True)
    with ledger.reading() as conn:
        subject = resolve(SqlRecords(conn), code)
        target = _target(out, subject)
        scope = bundle_scope(conn, subject)
        with progress(2 * journal.head(conn).seq, "Exporting") as bar:
            earlier = None if since is None else _read(since)
            signed = _signed(conn, place, checkpoint, key_file, unsigned, earlier, lambda _seq: bar.update(1))
            wishes = Wishes(pseudonyms, domain)
            files = make_bundle(conn, scope, signed, wishes, lambda _one: bar.update(1))
    _write(target, files, f"audit-{subject}")
    size = sum(map(len, files.values()))
    click.echo(f"Wrote {target}: {len(files)} files, {size} bytes, about {scope.subject}.")
    if signed.key is None:
        click.echo("It bears no signature that we know: whoever checks it is told so.", err=True)
    else:
        click.echo(f"CaseAuthor over by another way the key to check it with: {signed.key}")


def _signed(
    conn: Connection,
    place: str,
    file: str | None,
    key_file: str | None,
    unsigned: bool,
    earlier: bytes | None,
    progress: Callable[[int], None],
) -> Signed:
    if unsigned:
        return Signed(unsigned_checkpoint(conn, log_name(conn)), None, earlier)
    where = key_place(place, key_file)
    if not where.exists():
        if file is not None:
            return Signed(_read(file), None, earlier)
        raise UsageError(
            f"there is no signing key at {where}: make one (`runout audit key --make`), name it with --key, give a signed "
            "checkpoint with --checkpoint, or say --unsigned"
        )
    with held_key(where) as held:
        note = sign_checkpoint(conn, held, progress).encoded() if file is None else _read(file)
        return Signed(note, str(held.key.verifier), earlier, _sealer(held.key))


def _sealer(key: SigningKey) -> Seal:
    def seal(manifest: bytes) -> bytes:
        text = seal_text(key.name, manifest)
        return Note(text, (key.sign(text),)).encoded()

    return seal


def _target(out: str | None, subject: str) -> Path:
    target = Path(f"audit-{subject}.zip" if out is None else out)
    if target.exists() or target.is_symlink():
        raise UsageError(f"{target} is there already: expected a name that is not there yet")
    if not target.absolute().parent.is_dir():
        raise UsageError(f"{target}: the folder {target.parent} does not exist")
    return target


def _read(file: str) -> bytes:
    try:
        with Path(file).open("rb") as opened:
            data = opened.read(_LONGEST_NOTE)
        parse_note(data)
    except OSError as problem:
        raise UsageError(f"the checkpoint {file} cannot be read: {problem.strerror}") from None
    except ProofFails as problem:
        raise ProofFails(f"{file}: {problem}") from None
    return data


def _write(target: Path, files: dict[str, bytes], name: str) -> None:
    if target.suffix.lower() == ".zip":
        with whole_file(target, "The bundle") as part:
            part.write_bytes(zipped(files, name))
        return
    with whole_folder(target, "The bundle") as folder:
        for path, data in files.items():
            file = folder / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(data)
