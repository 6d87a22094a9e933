"""An audit bundle written: what somebody without this program needs to check a lot, a shipment or a case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.ledger.plant.plant_tables import require_domain
from tracelink.ledger.proof.note import Note
from tracelink.printing.output import file_stem, whole_file, whole_folder
from tracelink.report.bundle.bundle_files import Seal, zipped
from tracelink.report.bundle.verify_bundle import seal_text
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle, unsigned_checkpoint
from tracelink.services.codes import resolve
from tracelink.services.signed_notes import read_note
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.bundle.subject_kinds import is_consignee
from tracelink.store.journal.checkpoints import log_name, sign_checkpoint
from tracelink.store.journal.keys import SigningKey, held_key, key_place
from tracelink.store.records.sql_records import SqlRecords

Progress = Callable[[int], None]
"""Called with a number for each entry read."""


@dataclass(frozen=True, slots=True)
class ExportOptions:
    """How a bundle is made.

    Raises:
        UsageError: options that contradict each other, or a domain that is invalid.
    """

    pseudonyms: bool = False
    """Show people by their badges, and withhold entries with names."""
    since: str | Path | None = None
    """A file with a checkpoint from before: the bundle proves growth since then."""
    checkpoint: str | Path | None = None
    """A file with a signed checkpoint to prove by; None signs one now."""
    unsigned: bool = False
    """Prove by a checkpoint that nobody signs."""
    key: str | Path | None = None
    """The file of the signing key; None takes the one beside the ledger's file."""
    domain: str | None = None
    """Where the plant's identifiers live, such as id.example.org."""

    def __post_init__(self) -> None:
        if self.unsigned and self.checkpoint is not None:
            raise UsageError("--unsigned and --checkpoint contradict each other: give one of them")
        if self.domain is not None:
            require_domain(self.domain, "--domain")


@dataclass(frozen=True, slots=True)
class Exported:
    """A bundle that was written."""

    place: Path
    """The ZIP file or folder."""
    subject: str
    """Its subject, in words."""
    files: int
    """Files in it."""
    size: int
    """Bytes of all of them together."""
    key: str | None
    """Verifier key that signed it, to be handed over by another way; None if none that is known."""

    def to_dict(self) -> dict[str, Any]:
        """Return the fields as plain data."""
        return {
            "place": str(self.place),
            "subject": self.subject,
            "files": self.files,
            "size": self.size,
            "key": self.key,
        }


def export(  # noqa: PLR0913, PLR0917 - each is one thing that a person says
    conn: Connection,
    place: str,
    given: str,
    out: str | Path | None,
    options: ExportOptions,
    progress: Progress = lambda _entries: None,
) -> Exported:
    """Write the bundle of a lot, carton, pallet, shipment, consignee, tool, material lot or case.

    Args:
        conn: a connection that sees one state.
        place: where the ledger is, for its key.
        given: what it is about.
        out: a name that ends in .zip, or a folder to be made; None for audit-CODE.zip. Nothing is overwritten.
        options: how it is made.
        progress: called with 1 twice for each entry of the journal.

    Raises:
        UsageError: the place is taken, a file cannot be read, or there is no key.
        JournalError: the ledger does not verify; nothing was written.
    """
    subject = given if is_consignee(conn, given) else resolve(SqlRecords(conn), given)
    target = _target(out, subject)
    scope = bundle_scope(conn, subject)
    earlier = None if options.since is None else read_note(options.since).encoded()
    signed = _signed(conn, place, options, earlier, progress)
    wishes = Wishes(options.pseudonyms, options.domain)
    files = make_bundle(conn, scope, signed, wishes, progress)
    _write(target, files, f"audit-{_name_of(subject)}")
    return Exported(target, scope.subject, len(files), sum(map(len, files.values())), signed.key)


def _signed(
    conn: Connection, place: str, options: ExportOptions, earlier: bytes | None, progress: Progress
) -> ProvingCheckpoint:
    if options.unsigned:
        return ProvingCheckpoint(unsigned_checkpoint(conn, log_name(conn)), None, earlier)
    given = None if options.checkpoint is None else read_note(options.checkpoint).encoded()
    where = key_place(place, None if options.key is None else str(options.key))
    if not where.exists():
        if given is not None:
            raise UsageError(
                f"there is no signing key at {where}: a bundle with a signed checkpoint is sealed with the same key, or a "
                "change of its tables on the way would go unnoticed. Name the key with --key, or say --unsigned"
            )
        raise UsageError(
            f"there is no signing key at {where}: make one (`runout audit key --make`), name it with --key, or say --unsigned"
        )
    with held_key(where) as held:
        note = given or sign_checkpoint(conn, held, lambda _seq: progress(1)).encoded()
        return ProvingCheckpoint(note, str(held.key.verifier), earlier, _sealer(held.key))


def _sealer(key: SigningKey) -> Seal:
    def seal(manifest: bytes) -> bytes:
        text = seal_text(key.name, manifest)
        return Note(text, (key.sign(text),)).encoded()

    return seal


def _name_of(subject: str) -> str:
    """A code as it is; of a consignee's name the letters and digits."""
    return file_stem(subject, 60) or "consignee"


def _target(out: str | Path | None, subject: str) -> Path:
    target = Path(f"audit-{_name_of(subject)}.zip" if out is None else out)
    if target.exists() or target.is_symlink():
        raise UsageError(f"{target} is there already: expected a name that is not there yet")
    if not target.absolute().parent.is_dir():
        raise UsageError(f"{target}: the folder {target.parent} does not exist")
    return target


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
