"""An audit bundle: the files that let a stranger check a part of the journal, sealed by a manifest.

Theory of operation
-------------------
`entries.jsonl` holds the entries concerned, one line each, in the very bytes that were hashed when they were written.
`proofs.jsonl` holds for each the hashes beside its way up to the root in `checkpoint.txt`, and for an entry that is
withheld its leaf hash instead of its text. `scans.jsonl` holds the raw scans beside them. Everything else in a bundle
(report, tables, pictures, EPCIS, PROV) is made from the ledger for reading. `manifest.sha256` lists every file in the
form that `sha256sum -c` reads, `manifest.note` is its SHA-256 and its lines signed with the key of the journal, so
that nobody on the way can change a table, or write the manifest anew, without the file being named, and `verify.py`
checks it all with nothing but Python.

The same ledger gives the same bytes: no clock is asked, and a zip file is stored, sorted and dated alike, because two
compressors may differ.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from importlib.resources import files as resources
from typing import Any

import rfc8785

from tracelink.facts.bundle_content import Proven
from tracelink.ledger.entry import entry_hash
from tracelink.report.bundle import verify_bundle as form

Seal = Callable[[bytes], bytes]
"""Signs a manifest."""


@dataclass(frozen=True, slots=True)
class BundleProof:
    """What a bundle proves, and by which checkpoint."""

    subject: str
    """What it is about, such as `lot L000012X`."""
    entries: tuple[Proven, ...]
    """Entries with their proofs, in the order of the journal."""
    checkpoint: bytes
    """A signed note over the journal up to its head; without signatures if nobody signed."""
    key: str | None
    """Verifier key of the journal as the plant knows it, None if there is none."""
    earlier: bytes | None = None
    """A checkpoint that somebody kept, to show that the journal only grew since."""
    consistency: tuple[int, int, tuple[bytes, ...]] | None = None
    """Size then, size now, and the proof between them; with `earlier`."""
    facts: Mapping[str, Any] | None = None
    """More to stand in about.json: text, whole numbers, lists and objects."""


def evidence_files(evidence: BundleProof) -> dict[str, bytes]:
    """Return the files that verify.py checks, but for the manifest."""
    shown = [each for each in evidence.entries if not each.withheld]
    about = {
        **(evidence.facts or {}),
        "format": form.FORMAT,
        "version": form.VERSION,
        "subject": evidence.subject,
        "entries": len(shown),
        "withheld_entries": [each.seq for each in evidence.entries if each.withheld],
        "withheld_scans": [each.seq for each in shown if each.pack is not None and each.pack_withheld],
    }
    files = {
        form.ABOUT: json_bytes(about),
        form.ENTRIES: _lines(each.canonical for each in shown),
        form.PROOFS: _lines(_proof(each) for each in evidence.entries),
        form.SCANS: _lines(
            b"%d %s" % (each.seq, each.pack)
            for each in shown
            if each.pack is not None and not each.pack_withheld
        ),
        form.CHECKPOINT: evidence.checkpoint,
    }
    if evidence.key is not None:
        files[form.KEY] = evidence.key.encode() + b"\n"
    if evidence.earlier is not None and evidence.consistency is not None:
        old, new, path = evidence.consistency
        proof = {"old_size": old, "new_size": new, "path": [each.hex() for each in path]}
        files |= {form.EARLIER: evidence.earlier, form.CONSISTENCY: json_bytes(proof)}
    return files


def sealed(files: Mapping[str, bytes], seal: Seal | None = None) -> dict[str, bytes]:
    """Return files with verify.py, the manifest and, if somebody can sign, its seal added.

    Args:
        files: path -> bytes; paths of letters, digits, `._-/` and spaces.
        seal: takes the manifest and returns a signed note over `verify_bundle.seal_text`.
    """
    found = {**files, "verify.py": verify_program()}
    lines = (f"{hashlib.sha256(found[name]).hexdigest()}  {name}".encode() for name in sorted(found))
    manifest = _lines(lines)
    found[form.MANIFEST] = manifest
    return found if seal is None else {**found, form.SEAL: seal(manifest)}


def verify_program() -> bytes:
    """Return verify.py, the program that checks bundles with bare Python."""
    return resources("tracelink.report.bundle").joinpath("verify_bundle.py").read_bytes()


def zipped(files: Mapping[str, bytes], name: str) -> bytes:
    """Return a zip file of a bundle, everything in one folder of that name."""
    return form.pack_zip({f"{name}/{path}": data for path, data in files.items()})


def json_bytes(value: Any) -> bytes:
    """Return JSON that people can read too: sorted, indented, ending in a line feed."""
    return (json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True, allow_nan=False) + "\n").encode()


def _proof(entry: Proven) -> bytes:
    proof: dict[str, Any] = {"seq": entry.seq, "path": [each.hex() for each in entry.path]}
    if entry.withheld:
        proof["leaf"] = entry_hash(entry.canonical)
    return rfc8785.dumps(proof)


def _lines(lines: Iterable[bytes]) -> bytes:
    return b"".join(line + b"\n" for line in lines)
