"""A small bundle of invented entries, signed with keys made for the test, without any ledger."""

import base64
import hashlib
from dataclasses import dataclass, field

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tracelink.facts.bundle_content import Proven
from tracelink.ledger.entry import FIRST_PREV, Entry, Stamp, entry_hash
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.ledger.proof import merkle
from tracelink.report.bundle.bundle_files import BundleProof, evidence_files, sealed
from tracelink.report.bundle.verify_bundle import seal_text

ORIGIN = "plant.example.com/journal"


@dataclass
class Signer:
    """Somebody with a key."""

    name: str
    seed: int
    secret: Ed25519PrivateKey = field(init=False)

    def __post_init__(self):
        self.secret = Ed25519PrivateKey.from_private_bytes(bytes([self.seed]) * 32)

    @property
    def public(self):
        return b"\x01" + self.secret.public_key().public_bytes_raw()

    @property
    def number(self):
        return hashlib.sha256(self.name.encode() + b"\n" + self.public).digest()[:4]

    @property
    def key(self):
        return f"{self.name}+{self.number.hex()}+{base64.b64encode(self.public).decode()}"

    def line(self, text):
        signature = base64.b64encode(self.number + self.secret.sign(text.encode())).decode()
        return f"\u2014 {self.name} {signature}\n"


PLANT = Signer(ORIGIN, 7)
WITNESS = Signer("witness.example.org", 8)


def checkpoint(size, root, *signers, origin=ORIGIN):
    text = f"{origin}\n{size}\n{base64.b64encode(root).decode()}\n"
    return (text + "\n" + "".join(each.line(text) for each in signers)).encode()


def journal(count, word="a"):
    """Canonical bytes and packs of a small journal; every third entry has raw scans, one corrects another."""
    made, prev = [], FIRST_PREV
    for seq in range(1, count + 1):
        pack = (
            pack_scans([RawScan(seq, "2031-03-04T09:15:00+01:00", f"]C1{word}{seq}")])
            if seq % 3 == 0
            else None
        )
        entry = Entry(
            seq=seq,
            stamp=Stamp("2031-03-04T09:15:00+01:00", "2031-03-04T08:15:00Z"),
            kind="scan-refused",
            body={"text": f"{word} {seq} \u20ac \U0001f600", "\ufb33": seq, "\U0001f600": True},
            prev=prev,
            corrects=4 if seq == 7 else None,
            scans=None if pack is None else pack_hash(pack),
        )
        canonical = entry.canonical()
        prev = entry_hash(canonical)
        made.append((canonical, pack))
    return made


def leaves(made):
    return merkle.Leaves(bytes.fromhex(entry_hash(canonical)) for canonical, _ in made)


def small_evidence(
    made, wanted, *, signers=(PLANT,), earlier=None, withheld=(), key=PLANT.key, origin=ORIGIN
):
    tree, size = leaves(made), len(made)
    proven = tuple(
        Proven(seq, *made[seq - 1], merkle.inclusion(tree, seq - 1, size), withheld=seq in withheld)
        for seq in wanted
    )
    consistency = None if earlier is None else (earlier, size, merkle.consistency(tree, earlier, size))
    return BundleProof(
        subject="lot L000012X",
        entries=proven,
        checkpoint=checkpoint(size, merkle.root(tree, size), *signers, origin=origin),
        key=key,
        earlier=None if earlier is None else checkpoint(earlier, merkle.root(tree, earlier), PLANT),
        consistency=consistency,
    )


def seal(manifest):
    """The plant's seal over a manifest."""
    text = seal_text(ORIGIN, manifest)
    return f"{text}\n{PLANT.line(text)}".encode()


def small_bundle(count=23, wanted=(2, 3, 4, 6, 7, 8, 9, 15, 21, 23), extra=None, **more):
    """The files of a small bundle."""
    files = evidence_files(small_evidence(journal(count), wanted, **more))
    table = {"tables/segments.csv": b"lot,first\nL000012X,1\n"}
    return sealed(
        {**files, **table, **(extra or {})}, seal if PLANT in more.get("signers", (PLANT,)) else None
    )


def resealed(files, **changed):
    """A bundle with files changed (`None` takes one out) by somebody who has the key and writes all anew."""
    made = ("manifest.sha256", "manifest.note", "verify.py")
    found = {name: data for name, data in files.items() if name not in made}
    for name, data in changed.items():
        if data is None:
            del found[name]
        else:
            found[name] = data
    return sealed(found, seal)
