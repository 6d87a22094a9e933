#!/usr/bin/env python3
"""Check an audit bundle without the program that wrote it.

    python3 verify.py [BUNDLE] [--key NAME+ID+KEY] [--witness NAME+ID+KEY] [--held CHECKPOINT]

BUNDLE is a folder or a zip file; without it, the folder in which this file lies. Nothing is unpacked or written.
Needs Python 3.8 or later and nothing else. A copy that came with the bundle proves nothing against whoever sent the
bundle: they could have changed this file too. Take it from the program (`runout audit verifier`) or from a bundle that
you got earlier, and compare its SHA-256; it is the same in every bundle of one version of the program.

What is checked, in this order:
  manifest      every file is there, none more, each with its SHA-256 (also: sha256sum -c manifest.sha256)
  seal          the manifest's SHA-256 and that of every file, signed with the key of the journal: who made the
                tables and reports. A bundle with a signed checkpoint has one seal, no less and no more
  checkpoint    a C2SP signed note; Ed25519 signatures (RFC 8032) by keys that you give or that lie in the bundle
  entries       one line each in canonical JSON (RFC 8785); its leaf hash, and its inclusion proof up to the root in
                the checkpoint (RFC 6962 section 2.1, RFC 9162 section 2.1.3.2)
  raw scans     each pack under the hash that its entry names
  earlier one   a checkpoint that you kept: that the journal only grew since (RFC 9162 section 2.1.4.2)

Exit codes: 0 all of it holds, with a key that you gave; 1 it holds, with reservations that are printed;
2 wrong usage; 3 it does not verify, or the check could not be finished.
"""

from __future__ import annotations

import argparse
import base64
import binascii
import contextlib
import hashlib
import io
import json
import os
import re
import stat
import sys
import zipfile
from typing import Any, Dict, NoReturn, Sequence, Set, Tuple

FORMAT = "runout-audit-bundle"
VERSION = 2
READ_VERSIONS = (1, 2)
"""The seal of version 1 is over the manifest alone, that of version 2 also names every file."""

MANIFEST = "manifest.sha256"
SEAL = "manifest.note"
SEAL_TITLE = "runout audit bundle"
ABOUT = "about.json"
ENTRIES = "entries.jsonl"
PROOFS = "proofs.jsonl"
SCANS = "scans.jsonl"
CHECKPOINT = "checkpoint.txt"
KEY = "verifier-key.txt"
EARLIER = "earlier-checkpoint.txt"
CONSISTENCY = "consistency.json"
NEEDED = (MANIFEST, ABOUT, ENTRIES, PROOFS, SCANS, CHECKPOINT)

MOST_FILES = 5000
MOST_BYTES = 1 << 30
MUCH_BYTES = 64 << 20
MOST_TIMES = 20
"""A zip file that unpacks to more than MUCH_BYTES may do so to this many times its size; entries pack to about a fifth."""
MOST_JSON = 32 << 20
MOST_LINE = 16 << 20
MOST_NOTE = 1 << 20
SHOWN_FAULTS = 50
FEW_FILES = 5
"""Files that are named one by one; of more the first are named, and all are counted."""

ENTRY_FIELDS = {
    "body": (dict, False),
    "corrects": (int, True),
    "event_time": (str, False),
    "kind": (str, False),
    "person": (str, True),
    "prev": (str, False),
    "reason": (str, True),
    "recorded_at": (str, False),
    "scans": (str, True),
    "seq": (int, False),
    "station": (str, True),
    "station_seq": (int, True),
    "v": (int, False),
}


# Names for annotations; written in the way that Python 3.8 reads.
Files = Dict[str, bytes]
Key = Tuple[str, bytes, bytes]
Signer = Tuple[str, bytes]
Point = Tuple[int, int, int, int]
Entries = Dict[int, Dict[str, Any]]


class Fault(Exception):  # noqa: N818  it names what it is
    """Something that does not verify, as a sentence."""


class Result:
    """What was confirmed, what could not be, and what is wrong."""

    def __init__(self) -> None:
        self.confirmed: list[str] = []
        self.reservations: list[str] = []
        self.limits: list[str] = []
        self.faults: list[str] = []

    @property
    def code(self) -> int:
        """Exit code: 0, 1 or 3."""
        if self.faults:
            return 3
        return 1 if self.reservations else 0

    def lines(self) -> list[str]:
        """Return the result as lines of text."""
        found = ["WRONG          " + shown(each) for each in self.faults[:SHOWN_FAULTS]]
        if len(self.faults) > SHOWN_FAULTS:
            found.append("WRONG          and %s more" % (len(self.faults) - SHOWN_FAULTS))
        found += ["confirmed      " + shown(each) for each in self.confirmed]
        found += ["not confirmed  " + shown(each) for each in self.reservations]
        found += ["cannot be seen " + shown(each) for each in self.limits]
        words = {
            0: "RESULT: what is checked here holds; the signature is by the key that you gave.",
            1: "RESULT: what is checked here holds, but read what is not confirmed.",
            3: "RESULT: DOES NOT VERIFY. Do not rely on this bundle.",
        }
        found.append(words[self.code])
        return found


def shown(text: object) -> str:
    """Return text in which nothing can drive a terminal."""
    return "".join(one if one.isprintable() else f"\\u{ord(one):04x}" for one in str(text))


# ---------------------------------------------------------------- reading


def read_bundle(place: str) -> tuple[Files, list[str]]:
    """Return path -> bytes of a folder or a zip file, and what is odd about the wrapping.

    Nothing is followed, unpacked or written. Raises Fault.
    """
    if os.path.exists(place) and not (os.path.isdir(place) or os.path.isfile(place)):
        raise Fault(f"{place} is neither a folder nor a plain file: pipes and devices are not read")
    if os.path.isdir(place):
        try:
            return _folder(place), []
        except OSError as problem:
            raise Fault(
                f"{problem.filename or place} cannot be read: {problem.strerror or problem}"
            ) from None
    try:
        size = os.path.getsize(place)
        if size > MOST_BYTES:
            raise Fault(f"{place} has {size} bytes: more than the {MOST_BYTES} that are read")
        with open(place, "rb") as file:
            data = file.read(size + 1)
    except OSError as problem:
        raise Fault(f"{place} cannot be read: {problem.strerror or problem}") from None
    return read_zip(data)


def _folder(place: str) -> Files:
    files: Files = {}
    total, todo = 0, [(place, "")]
    while todo:
        folder, prefix = todo.pop()
        for each in sorted(os.scandir(folder), key=lambda one: one.name):
            name = prefix + each.name
            mode = each.stat(follow_symlinks=False).st_mode
            if stat.S_ISDIR(mode):
                todo.append((each.path, name + "/"))
                continue
            if not stat.S_ISREG(mode):
                raise Fault(f"{name} is not a plain file: links and devices are not followed")
            _require_path(name)
            size = each.stat(follow_symlinks=False).st_size
            total += size
            if total > MOST_BYTES or len(files) >= MOST_FILES:
                raise Fault(f"the folder holds more than {MOST_BYTES} bytes or {MOST_FILES} files")
            with open(each.path, "rb") as file:
                # No more than it had, and nothing set aside for what it might have.
                files[name] = file.read(size + 1)
    return files


def read_zip(data: bytes) -> tuple[Files, list[str]]:
    """Return path -> bytes of a zip file, and what is odd about it. Raises Fault."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            files = _members(archive, len(data))
    except (
        zipfile.BadZipFile,
        NotImplementedError,
        RuntimeError,
        ValueError,
        EOFError,
        OSError,
        OverflowError,
    ) as problem:
        raise Fault(f"the zip file is damaged or no zip file: {problem}") from None
    except Exception as problem:  # zlib.error and struct.error have no common base
        if type(problem).__module__ in ("zlib", "struct", "lzma", "bz2"):
            raise Fault(f"the zip file is damaged: {problem}") from None
        raise
    odd = []
    if pack_zip(files) != data:
        odd.append(
            "the zip file is not as it was exported: it was packed anew, or bytes outside of its files differ"
        )
    return _without_top(files), odd


def _members(archive: zipfile.ZipFile, size: int) -> Files:
    files: Files = {}
    total, folded = 0, set()
    most = min(MOST_BYTES, max(MUCH_BYTES, MOST_TIMES * size))
    for info in archive.infolist():
        name = info.filename
        if "\\" in getattr(info, "orig_filename", name) or "\0" in getattr(info, "orig_filename", name):
            raise Fault(f"the zip file holds a path that is not plain: {info.orig_filename!r}")
        _require_path(name[:-1] if name.endswith("/") else name)
        if name.casefold() in folded:
            raise Fault(f"the zip file holds {name} twice")
        folded.add(name.casefold())
        mode = info.external_attr >> 16
        if name.endswith("/"):
            continue
        if stat.S_IFMT(mode) not in (0, stat.S_IFREG):
            raise Fault(f"the zip file holds a link or device: {name}")
        if info.flag_bits & 1:
            raise Fault(f"the zip file holds an encrypted file: {name}")
        total += info.file_size
        if total > most or len(files) >= MOST_FILES:
            raise Fault(f"the zip file would unpack to more than {most} bytes or {MOST_FILES} files")
        with archive.open(info) as member:
            # The size in the header may lie: never read more than it says.
            found = member.read(info.file_size + 1)
        if len(found) != info.file_size:
            raise Fault(f"{name} in the zip file has another size than the zip file says")
        files[name] = found
    return files


def _require_path(name: str) -> None:
    parts = name.split("/")
    if (
        not name
        or len(name) > 240
        or not re.match(r"\A[A-Za-z0-9._ /-]+\Z", name)
        or any(part in ("", ".", "..") for part in parts)
    ):
        raise Fault(
            f"the path {name!r} is not one of a bundle: expected plain letters, no parent and no root"
        )


def _without_top(files: Files) -> Files:
    """Take away the one folder that everything in a zip lies in."""
    tops = {name.split("/", 1)[0] for name in files}
    if len(tops) == 1 and all("/" in name for name in files):
        return {name.split("/", 1)[1]: data for name, data in files.items()}
    return files


def pack_zip(files: Files) -> bytes:
    """Return a zip file of path -> bytes: stored, sorted, one fixed time, so that equal files give equal bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.create_system = 3
            info.external_attr = 0o100644 << 16
            archive.writestr(info, files[name])
    return out.getvalue()


def load_json(data: bytes, what: str, most: int = MOST_JSON) -> Any:
    """Read JSON without numbers that have a fraction, keys given twice, or endless nesting. Raises Fault."""
    if len(data) > most:
        raise Fault(f"{what} has {len(data)} bytes: more than the {most} that are read")
    try:
        return json.loads(
            data.decode("utf-8"),
            object_pairs_hook=lambda pairs: _object(pairs, what),
            parse_float=lambda text: _no_number(text, what),
            parse_constant=lambda text: _no_number(text, what),
            parse_int=lambda text: _whole(text, what),
        )
    except UnicodeDecodeError:
        raise Fault(f"{what} is not UTF-8 text") from None
    except ValueError:
        raise Fault(f"{what} is not JSON") from None
    except RecursionError:
        raise Fault(f"{what} is nested too deeply") from None


def _object(pairs: list[tuple[str, Any]], what: str) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise Fault(f"{what} has a key twice")
    return found


def _no_number(text: str, what: str) -> NoReturn:
    raise Fault(f"{what} holds {text[:40]}: expected whole numbers")


def _whole(text: str, what: str) -> int:
    if len(text) > 17 or abs(int(text)) > 2**53 - 1:
        raise Fault(f"{what} holds a number that is too large: {text[:40]}")
    return int(text)


def lines_of(data: bytes, what: str) -> list[bytes]:
    """Return the lines of a file that ends each with one line feed. Raises Fault."""
    if not data:
        return []
    if not data.endswith(b"\n"):
        raise Fault(f"{what} is cut off: its last line does not end")
    lines = data[:-1].split(b"\n")
    if any(len(line) > MOST_LINE for line in lines):
        raise Fault(f"{what} has a line of more than {MOST_LINE} bytes")
    return lines


# ---------------------------------------------------------------- manifest


def _name_files(result: Result, names: Set[str], one: str, many: str) -> None:
    """Tell of each file, or of many at once: an emptied manifest is one fault and not one for each file."""
    found = sorted(names)
    if len(found) <= FEW_FILES:
        result.faults += [f"file {name} {one}" for name in found]
    else:
        result.faults.append(f"{len(found)} files {many}; the first are {', '.join(found[:3])}")


def check_manifest(files: Files, result: Result) -> None:
    """Compare every file with the manifest."""
    if MANIFEST not in files:
        raise Fault(f"{MANIFEST} is missing: this is not a bundle, or it was cut")
    listed, before = {}, ""
    for number, line in enumerate(lines_of(files[MANIFEST], MANIFEST), 1):
        found = re.match(rb"\A([0-9a-f]{64})  ([A-Za-z0-9._ /-]+)\Z", line)
        if not found:
            raise Fault(f"line {number} of {MANIFEST} is damaged")
        name = found.group(2).decode("ascii")
        if name <= before or name in (MANIFEST, SEAL):
            raise Fault(f"line {number} of {MANIFEST} is out of order or names a file twice")
        before, listed[name] = name, found.group(1).decode("ascii")
    gone, more = set(listed) - set(files), set(files) - set(listed) - {MANIFEST, SEAL}
    _name_files(result, gone, "is missing: the manifest lists it", "are missing that the manifest lists")
    _name_files(
        result,
        more,
        "is not in the manifest: it was added",
        "are not in the manifest: they were added, or their lines were taken out",
    )
    for name in sorted(set(files) & set(listed)):
        digest = hashlib.sha256(files[name]).hexdigest()
        if digest != listed[name]:
            result.faults.append(
                f"file {name} was changed: its SHA-256 is {digest[:16]}..., the manifest says {listed[name][:16]}..."
            )
    if not result.faults:
        result.confirmed.append(
            f"{len(listed)} files are as the manifest lists them, none more and none less"
        )


# ---------------------------------------------------------------- Ed25519 (RFC 8032 section 5.1)

_P = 2**255 - 19
_L = 2**252 + 27742317777372353535851937790883648493
_D = -121665 * pow(121666, _P - 2, _P) % _P
_ROOT = pow(2, (_P - 1) // 4, _P)


def _add(one: Point, two: Point) -> Point:
    a = (one[1] - one[0]) * (two[1] - two[0]) % _P
    b = (one[1] + one[0]) * (two[1] + two[0]) % _P
    c = 2 * one[3] * two[3] * _D % _P
    d = 2 * one[2] * two[2] % _P
    e, f, g, h = b - a, d - c, d + c, b + a
    return (e * f % _P, g * h % _P, f * g % _P, e * h % _P)


def _times(scalar: int, point: Point | None) -> Point:
    assert point is not None
    found = (0, 1, 1, 0)
    while scalar:
        if scalar & 1:
            found = _add(found, point)
        point = _add(point, point)
        scalar >>= 1
    return found


def _point(data: bytes) -> Point | None:
    """Return the point that 32 bytes encode, or None if they encode none."""
    y = int.from_bytes(data, "little")
    sign, y = y >> 255, y & ((1 << 255) - 1)
    if y >= _P:
        return None
    square = (y * y - 1) * pow(_D * y * y + 1, _P - 2, _P) % _P
    x = pow(square, (_P + 3) // 8, _P)
    if (x * x - square) % _P:
        x = x * _ROOT % _P
    if (x * x - square) % _P or (x == 0 and sign):
        return None
    if x & 1 != sign:
        x = _P - x
    return (x, y, 1, x * y % _P)


def _bytes(point: Point) -> bytes:
    inverse = pow(point[2], _P - 2, _P)
    x, y = point[0] * inverse % _P, point[1] * inverse % _P
    return (y | (x & 1) << 255).to_bytes(32, "little")


_BASE = _point((4 * pow(5, _P - 2, _P) % _P).to_bytes(32, "little"))


def ed25519_verifies(key: bytes, message: bytes, signature: bytes) -> bool:
    """Say whether 64 bytes are the signature of a message by a public key of 32 bytes (RFC 8032 section 5.1.7)."""
    if len(key) != 32 or len(signature) != 64:
        return False
    point = _point(key)
    scalar = int.from_bytes(signature[32:], "little")
    if point is None or scalar >= _L:
        return False
    challenge = int.from_bytes(hashlib.sha512(signature[:32] + key + message).digest(), "little") % _L
    x, y, z, t = point
    expected = _add(_times(scalar, _BASE), _times(challenge, (_P - x, y, z, _P - t)))
    return _bytes(expected) == signature[:32]


# ---------------------------------------------------------------- signed notes and checkpoints (C2SP)


def parse_key(text: str) -> Key:
    """Return (name, key id, 32 bytes) of a verifier key `name+id+base64`. Raises Fault."""
    parts = text.strip().split("+", 2)
    wrong = Fault(f"the key {shown(text)[:80]!r} is not a verifier key: expected name+8 digits+base64")
    if len(parts) != 3 or not re.match(r"\A[0-9a-f]{8}\Z", parts[1]):
        raise wrong
    name, data = parts[0], _base64(parts[2])
    if not name or any(one.isspace() for one in name) or data is None or len(data) != 33 or data[0] != 1:
        raise wrong
    number = hashlib.sha256(name.encode("utf-8") + b"\n" + data).digest()[:4]
    if number.hex() != parts[1]:
        raise Fault(f"the key {shown(name)!r} does not fit its own number {parts[1]}: was it mistyped?")
    return name, number, data[1:]


def _base64(text: str) -> bytes | None:
    try:
        data = base64.b64decode(text.encode("ascii"), validate=True)
    except (ValueError, binascii.Error):
        return None
    # Unused bits of the last character must be zero, or two texts would mean the same bytes.
    return data if base64.b64encode(data).decode("ascii") == text else None


class SignedNote:
    """A signed note: its text, and (name, key id, signature) of each signer."""

    def __init__(self, data: bytes, what: str) -> None:
        if len(data) > MOST_NOTE:
            raise Fault(f"{what} is too long for a signed note")
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            raise Fault(f"{what} is not UTF-8 text") from None
        if any(ord(one) < 32 and one != "\n" for one in text):
            raise Fault(f"{what} holds a control character")
        body, blank, block = text.rpartition("\n\n")
        if not blank or not (block == "" or block.endswith("\n")):
            raise Fault(f"{what} is not a signed note: expected text, an empty line and signatures")
        self.text = body + "\n"
        self.signatures: list[Key] = []
        for line in block[:-1].split("\n") if block else []:
            found = re.match("\\A\u2014 ([^ \\s+]+) ([A-Za-z0-9+/=]+)\\Z", line)
            signed = _base64(found.group(2)) if found else None
            if found is None or signed is None or len(signed) < 5:
                raise Fault(f"{what} has a signature line that is damaged: {line[:60]!r}")
            self.signatures.append((found.group(1), signed[:4], signed[4:]))
        if len(self.signatures) > 64:
            raise Fault(f"{what} has more than 64 signatures")


class CheckpointText:
    """A checkpoint: whose journal, how many entries, the root over them."""

    def __init__(self, data: bytes, what: str) -> None:
        self.note = SignedNote(data, what)
        lines = self.note.text[:-1].split("\n")
        if len(lines) < 3 or not lines[0] or any(not line for line in lines):
            raise Fault(f"{what} is not a checkpoint: expected origin, size and root")
        if not re.match(r"\A(0|[1-9][0-9]{0,15})\Z", lines[1]):
            raise Fault(f"{what}: the size {lines[1]!r} is not a number of entries")
        root = _base64(lines[2])
        if root is None or len(root) != 32:
            raise Fault(f"{what}: the root {lines[2]!r} is not a hash")
        self.origin, self.size, self.root, self.more = lines[0], int(lines[1]), root, lines[3:]


def signers(checkpoint: CheckpointText, keys: Sequence[Key], what: str) -> tuple[list[Signer], list[Signer]]:
    """Return which of the given keys signed, and the unknown signers. Raises Fault on a bad signature."""
    good, unknown = [], []
    for name, number, signature in checkpoint.note.signatures:
        known = [key for key in keys if key[:2] == (name, number)]
        if not known:
            unknown.append((name, number))
        elif ed25519_verifies(known[0][2], checkpoint.note.text.encode("utf-8"), signature):
            good.append((name, number))
        else:
            raise Fault(f"{what}: the signature of {name} is not by that key over this text")
    return good, unknown


def check_checkpoint(
    files: Files, keys: Sequence[Key], witnesses: Sequence[Key], result: Result
) -> CheckpointText:
    """Read the checkpoint and its signatures; returns it."""
    checkpoint = CheckpointText(files[CHECKPOINT], CHECKPOINT)
    own = [parse_key(_text(files[KEY], KEY))] if KEY in files else []
    for key, whose in [(key, "the key that you gave") for key in keys] + [(key, KEY) for key in own]:
        if key[0] != checkpoint.origin:
            raise Fault(
                f"the checkpoint is of the journal {checkpoint.origin}, {whose} is of {key[0]}: another ledger, or the wrong key"
            )
    good, unknown = signers(checkpoint, [*keys, *own, *witnesses], CHECKPOINT)
    for key in keys:
        if key[:2] not in good:
            raise Fault(
                f"the checkpoint is not signed with the key that you gave ({key[0]}, key {key[1].hex()})"
            )
    for key in witnesses:
        if key[:2] in good:
            result.confirmed.append(f"the witness {key[0]} has signed this checkpoint")
        else:
            result.reservations.append(
                f"the witness {key[0]} (key {key[1].hex()}) has not signed this checkpoint"
            )
    _say_who(checkpoint, [key[:2] for key in keys], [key[:2] for key in own], good, result)
    for name, number in unknown:
        result.reservations.append(
            f"signature of the unknown signer or witness {name} (key {number.hex()}): no key for it was given"
        )
    return checkpoint


def _say_who(
    checkpoint: CheckpointText, given: list[Signer], own: list[Signer], good: list[Signer], result: Result
) -> None:
    if given:
        result.confirmed.append(f"the checkpoint is signed by {checkpoint.origin} with the key that you gave")
    elif own and own[0] in good:
        result.reservations.append(
            "who signed: the key came from the bundle itself. That shows that nothing was changed since somebody signed "
            "it, not who that was. Ask the plant for its key by another way and give it with --key"
        )
    elif own:
        raise Fault("the checkpoint is not signed with the key that lies in the bundle")
    else:
        result.reservations.append("who made it: the checkpoint bears no signature that could be checked")


def seal_text(origin: str, manifest: bytes) -> str:
    """Return what is signed of a bundle; its second line keeps it from ever being read as a checkpoint.

    The lines of the manifest follow, so that a file changed under a manifest written anew can be named.
    """
    return _seal_head(origin, manifest) + manifest.decode("ascii")


def _seal_head(origin: str, manifest: bytes) -> str:
    return f"{SEAL_TITLE}\nsha256 {hashlib.sha256(manifest).hexdigest()}\n{origin}\n"


def check_seal(files: Files, checkpoint: CheckpointText, keys: Sequence[Key], result: Result) -> None:
    """Check that whoever has the key of the journal sealed these files, tables and reports included."""
    if SEAL not in files:
        if checkpoint.note.signatures:
            result.faults.append(
                f"{SEAL} is missing: whoever signs the checkpoint of a bundle also seals its files, so the seal was "
                "taken out, and tables and reports may have been changed. Ask the plant for the bundle again"
            )
            return
        result.reservations.append(
            "who made the tables, pictures and reports: the manifest is not sealed with the key of the journal"
        )
        return
    note = _one_seal(files[SEAL])
    name, number, signature = note.signatures[0]
    known = [key for key in keys if key[:2] == (name, number)]
    if not known:
        raise Fault(f"{SEAL} is not signed with a key of the journal")
    if not ed25519_verifies(known[0][2], note.text.encode("utf-8"), signature):
        raise Fault(f"{SEAL}: the signature of {name} is not by that key over this text")
    _compare_with_seal(files, note.text, checkpoint.origin, result)
    if not result.faults:
        result.confirmed.append(
            f"all files, tables and reports included, are as {checkpoint.origin} sealed them"
        )


def _one_seal(data: bytes) -> SignedNote:
    note = SignedNote(data, SEAL)
    seals = max(len(note.signatures), note.text.split("\n").count(SEAL_TITLE))
    if seals > 1:
        raise Fault(
            f"{SEAL} holds {seals} seals: expected one, by the key of the journal. One was added on the way; ask the "
            "plant for the bundle again"
        )
    if not note.signatures:
        raise Fault(f"{SEAL} bears no signature: expected one, by the key of the journal")
    return note


def _compare_with_seal(files: Files, text: str, origin: str, result: Result) -> None:
    """Compare the manifest with the seal, and name the files that a manifest written anew would hide."""
    if text in (seal_text(origin, files[MANIFEST]), _seal_head(origin, files[MANIFEST])):
        return
    result.faults.append(
        f"the manifest is not the one that was sealed in {SEAL}: it was written anew, and files may have been changed"
    )
    lines = [re.match(r"\A([0-9a-f]{64})  (.+)\Z", line) for line in text.split("\n")[3:-1]]
    sealed = {line.group(2): line.group(1) for line in lines if line}
    if not sealed:
        return
    found = {
        name: hashlib.sha256(data).hexdigest() for name, data in files.items() if name not in (MANIFEST, SEAL)
    }
    for name in sorted(set(sealed) & set(found)):
        if found[name] != sealed[name]:
            result.faults.append(
                f"file {name} was changed since the bundle was sealed: its SHA-256 is {found[name][:16]}..., the seal says {sealed[name][:16]}..."
            )
    for what, names in (("added", set(found) - set(sealed)), ("taken out", set(sealed) - set(found))):
        _name_files(
            result,
            names,
            f"was {what} since the bundle was sealed",
            f"were {what} since the bundle was sealed",
        )


def _text(data: bytes, what: str) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise Fault(f"{what} is not UTF-8 text") from None


# ---------------------------------------------------------------- the tree (RFC 6962, RFC 9162)


def _node(left: bytes, right: bytes) -> bytes:
    return hashlib.sha256(b"\x01" + left + right).digest()


def _up(here: int, last: int) -> tuple[int, int]:
    """The last node of a level may stand several levels higher than its neighbour."""
    while here and not here & 1:
        here, last = here >> 1, last >> 1
    return here, last


def check_inclusion(leaf: bytes, index: int, size: int, root: bytes, path: Sequence[bytes]) -> None:
    """Check that a leaf (counted from 0) is in the tree. Raises Fault. Source: RFC 9162 section 2.1.3.2."""
    if not 0 <= index < size:
        raise Fault(f"entry {index + 1} is not among the {size} of the checkpoint")
    here, last, found = index, size - 1, leaf
    for beside in path:
        if last == 0:
            raise Fault("the proof of entry %s has hashes left over" % (index + 1))
        if here & 1 or here == last:
            found = _node(beside, found)
            here, last = _up(here, last)
        else:
            found = _node(found, beside)
        here, last = here >> 1, last >> 1
    if last or found != root:
        raise Fault(
            "entry %s is not proven: its proof does not lead to the root in the checkpoint" % (index + 1)
        )


def check_consistency(old: int, new: int, old_root: bytes, new_root: bytes, path: Sequence[bytes]) -> None:
    """Check that a tree only grew. Raises Fault. Source: RFC 9162 section 2.1.4.2."""
    wrong = Fault(
        f"the journal of {new} entries does not go on from the one of {old}: it was written anew in between"
    )
    if not 0 <= old <= new:
        raise Fault(
            f"the earlier checkpoint has {old} entries, the bundle's only {new}: its tail was cut off"
        )
    if old in (0, new):
        # Every journal goes on from the empty one, whose root is fixed (RFC 9162 section 2.1.1): another is nobody's.
        if path or old_root != (new_root if old else hashlib.sha256().digest()):
            raise wrong
        return
    if not path and old & (old - 1):
        raise wrong
    # The root of a full tree is the first hash of the proof, which therefore leaves it out.
    path = list(path) if old & (old - 1) else [old_root, *path]
    here, last = old - 1, new - 1
    while here & 1:
        here, last = here >> 1, last >> 1
    earlier = later = path[0]
    for beside in path[1:]:
        if last == 0:
            raise wrong
        if here & 1 or here == last:
            earlier, later = _node(beside, earlier), _node(beside, later)
            here, last = _up(here, last)
        else:
            later = _node(later, beside)
        here, last = here >> 1, last >> 1
    if last or earlier != old_root or later != new_root:
        raise wrong


def _hashes(value: Any, what: str) -> list[bytes]:
    if not isinstance(value, list) or len(value) > 64:
        raise Fault(f"{what} holds no list of hashes")
    return [_hash(each, what) for each in value]


def _hash(value: Any, what: str) -> bytes:
    if not (isinstance(value, str) and re.match(r"\A[0-9a-f]{64}\Z", value)):
        raise Fault(f"{what} holds {str(value)[:40]!r} where a hash should be")
    return bytes.fromhex(value)


# ---------------------------------------------------------------- entries


def canonical(value: Any) -> bytes:
    """Return the RFC 8785 bytes of text, whole numbers, booleans, null, lists and objects."""
    if isinstance(value, dict):
        # Keys are ordered by UTF-16 code units, which is not the order of code points.
        keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
        return b"{" + b",".join(canonical(key) + b":" + canonical(value[key]) for key in keys) + b"}"
    if isinstance(value, list):
        return b"[" + b",".join(canonical(each) for each in value) + b"]"
    return json.dumps(value, ensure_ascii=False).encode("utf-8")


def read_entry(line: bytes, number: int) -> dict[str, Any]:
    """Return the entry on a line of entries.jsonl. Raises Fault if its bytes are not the canonical ones."""
    what = f"line {number} of {ENTRIES}"
    entry = load_json(line, what, MOST_LINE)
    if not isinstance(entry, dict) or set(entry) != set(ENTRY_FIELDS):
        raise Fault(f"{what} is not an entry: its fields are not those of an entry")
    for name, (kind, may_be_null) in ENTRY_FIELDS.items():
        if type(entry[name]) is not kind and not (may_be_null and entry[name] is None):
            raise Fault(f"{what} is not an entry: {name} is {str(entry[name])[:40]!r}")
    try:
        same = canonical(entry) == line
    except (UnicodeEncodeError, RecursionError):
        same = False
    if entry["v"] != 1 or not same:
        raise Fault(f"{what} is not in canonical form of version 1")
    return entry


def check_entries(
    files: Files, checkpoint: CheckpointText, result: Result
) -> tuple[Entries, dict[int, bytes]]:
    """Check every entry, its proof and its raw scans; returns the entries by number and the leaves."""
    proofs = _proofs(files)
    entries, leaves, before = {}, {}, 0
    for number, line in enumerate(lines_of(files[ENTRIES], ENTRIES), 1):
        try:
            entry = read_entry(line, number)
            if entry["seq"] <= before:
                raise Fault(
                    "line {} of {}: entry {} is out of order or there twice".format(
                        number, ENTRIES, entry["seq"]
                    )
                )
            before = entry["seq"]
            entries[before], leaves[before] = entry, hashlib.sha256(b"\x00" + line).digest()
        except Fault as fault:
            result.faults.append(str(fault))
    for seq in sorted(set(entries) - set(proofs)):
        result.faults.append(f"entry {seq} has no proof in {PROOFS}")
    withheld = {seq: leaf for seq, (leaf, _) in proofs.items() if leaf is not None}
    for seq in sorted(set(proofs) - set(entries) - set(withheld)):
        result.faults.append(f"entry {seq} was taken out: its proof is there, the entry is not")
    for seq in sorted(set(withheld) & set(entries)):
        result.faults.append(f"entry {seq} is said to be withheld, and is there")
    leaves.update((seq, leaf) for seq, leaf in withheld.items() if seq not in entries)
    for seq in sorted(set(leaves) & set(proofs)):
        try:
            check_inclusion(leaves[seq], seq - 1, checkpoint.size, checkpoint.root, proofs[seq][1])
        except Fault as fault:
            result.faults.append(str(fault))
    _check_links(entries, leaves, result)
    if not result.faults:
        result.confirmed.append(
            f"{len(entries)} entries are in the journal of {checkpoint.origin}, each at its number, among the first {checkpoint.size}"
        )
    return entries, withheld


def _proofs(files: Files) -> dict[int, tuple[bytes | None, list[bytes]]]:
    found, before = {}, 0
    for number, line in enumerate(lines_of(files[PROOFS], PROOFS), 1):
        what = f"line {number} of {PROOFS}"
        proof = load_json(line, what, 1 << 16)
        if not isinstance(proof, dict) or set(proof) not in ({"seq", "path"}, {"leaf", "path", "seq"}):
            raise Fault(f"{what} is not a proof")
        seq = proof["seq"]
        if type(seq) is not int or seq <= before:
            raise Fault(f"{what} is out of order or there twice")
        if canonical(proof) != line:
            raise Fault(f"{what} is not in canonical form")
        before = seq
        found[seq] = (_hash(proof["leaf"], what) if "leaf" in proof else None, _hashes(proof["path"], what))
    return found


def _check_links(entries: Entries, leaves: dict[int, bytes], result: Result) -> None:
    """Neighbours must follow from each other, and what a correction corrects must be in the bundle."""
    for seq, entry in sorted(entries.items()):
        expected = "0" * 64 if seq == 1 else leaves[seq - 1].hex() if seq - 1 in leaves else None
        if expected is not None and entry["prev"] != expected:
            result.faults.append(f"entry {seq} does not follow from entry {seq - 1}")
        target = entry["corrects"]
        if target is not None and target not in leaves:
            result.faults.append(f"entry {seq} corrects entry {target}, which is not in the bundle")


def check_scans(files: Files, entries: Entries, withheld_packs: set[int], result: Result) -> None:
    """Check the pack of raw scans beside each entry."""
    packs, before = {}, 0
    for number, line in enumerate(lines_of(files[SCANS], SCANS), 1):
        found = re.match(rb"\A([1-9][0-9]{0,15}) ", line)
        if not found or int(found.group(1)) <= before:
            raise Fault(f"line {number} of {SCANS} is damaged or out of order")
        before = int(found.group(1))
        packs[before] = line[found.end() :]
    named = {seq: entry["scans"] for seq, entry in entries.items() if entry["scans"] is not None}
    for seq in sorted(set(packs) - set(named)):
        result.faults.append(f"raw scans of entry {seq} are there, but that entry names none")
    wrong = 0
    for seq, digest in sorted(named.items()):
        if seq not in packs:
            if seq not in withheld_packs:
                result.faults.append(f"the raw scans of entry {seq} are missing")
                wrong += 1
        elif hashlib.sha256(b"\x02" + packs[seq]).hexdigest() != digest:
            result.faults.append(f"the raw scans of entry {seq} were changed")
            wrong += 1
    if not wrong and not result.faults:
        result.confirmed.append(f"the raw scans of {len(packs)} entries are as they were recorded")


# ---------------------------------------------------------------- the whole


def check_about(files: Files) -> tuple[dict[str, Any], set[int], set[int]]:
    """Return about.json. Raises Fault."""
    about = load_json(files[ABOUT], ABOUT)
    if not isinstance(about, dict) or about.get("format") != FORMAT:
        raise Fault(f"{ABOUT} does not say that this is an audit bundle")
    if about.get("version") not in READ_VERSIONS:
        raise Fault(
            "the bundle is of version {}; this program reads versions {} to {}: take a newer verify.py from the program".format(
                str(about.get("version"))[:40], READ_VERSIONS[0], READ_VERSIONS[-1]
            )
        )
    numbers = {}
    for name in ("withheld_entries", "withheld_scans"):
        value = about.get(name)
        if not isinstance(value, list) or any(type(each) is not int for each in value):
            raise Fault(f"{ABOUT}: {name} is not a list of entry numbers")
        numbers[name] = set(value)
    if type(about.get("entries")) is not int or not isinstance(about.get("subject"), str):
        raise Fault(f"{ABOUT} names no subject or number of entries")
    return about, numbers["withheld_entries"], numbers["withheld_scans"]


def check_earlier(
    files: Files,
    checkpoint: CheckpointText,
    keys: Sequence[Key],
    held: Sequence[tuple[str, bytes]],
    result: Result,
) -> None:
    """Check the earlier checkpoints: the one exported with the bundle, and those that the auditor kept."""
    proofs = {}
    if (EARLIER in files) != (CONSISTENCY in files):
        raise Fault(f"{EARLIER} and {CONSISTENCY} belong together: one of them is missing")
    if EARLIER in files:
        earlier = CheckpointText(files[EARLIER], EARLIER)
        proof = load_json(files[CONSISTENCY], CONSISTENCY)
        if not isinstance(proof, dict) or set(proof) != {"new_size", "old_size", "path"}:
            raise Fault(f"{CONSISTENCY} is not a proof")
        if (proof["old_size"], proof["new_size"]) != (earlier.size, checkpoint.size):
            raise Fault(f"{CONSISTENCY} is a proof between other sizes")
        proofs[earlier.size] = _hashes(proof["path"], CONSISTENCY)
        _grown(earlier, checkpoint, proofs, EARLIER, result)
    for what, data in held:
        kept = CheckpointText(data, what)
        good, _ = signers(kept, keys, what)
        if keys and not good:
            raise Fault(f"{what} is not signed with the key that you gave")
        _grown(kept, checkpoint, proofs, what, result)


def _grown(
    earlier: CheckpointText,
    checkpoint: CheckpointText,
    proofs: dict[int, list[bytes]],
    what: str,
    result: Result,
) -> None:
    if earlier.origin != checkpoint.origin:
        raise Fault(f"{what} is of the journal {earlier.origin}, the bundle of {checkpoint.origin}")
    if earlier.size > checkpoint.size:
        result.reservations.append(
            f"{what} has {earlier.size} entries, the bundle's checkpoint {checkpoint.size}: ask for a bundle made after it, or for a proof between them"
        )
        return
    if earlier.size not in proofs and earlier.size not in (0, checkpoint.size):
        result.reservations.append(
            f"that the journal only grew since {what} ({earlier.size} entries): no proof for it lies in the bundle; ask for an export "
            "with --since"
        )
        return
    check_consistency(
        earlier.size, checkpoint.size, earlier.root, checkpoint.root, proofs.get(earlier.size, [])
    )
    result.confirmed.append(f"since {what} ({earlier.size} entries) the journal only grew")


def verify(
    files: Files,
    odd: Sequence[str] = (),
    keys: Sequence[Key] = (),
    witnesses: Sequence[Key] = (),
    held: Sequence[tuple[str, bytes]] = (),
) -> Result:
    """Check a bundle.

    Args:
        files: path -> bytes, as `read_bundle` gives them.
        odd: what is odd about its wrapping.
        keys: verifier keys of the journal, as `parse_key` gives them.
        witnesses: those of others who sign checkpoints.
        held: (name, bytes) of checkpoints that the auditor kept.

    Returns:
        A Result. Never raises for a bundle, however hostile.
    """
    result = Result()
    result.reservations += odd
    try:
        _check_all(files, keys, witnesses, held, result)
    except Fault as fault:
        result.faults.append(str(fault))
    except Exception as problem:  # noqa: BLE001  breaking the check must be no better than failing it
        result.faults.append(f"the check itself broke on this bundle ({type(problem).__name__})")
    return result


def _check_all(
    files: Files,
    keys: Sequence[Key],
    witnesses: Sequence[Key],
    held: Sequence[tuple[str, bytes]],
    result: Result,
) -> None:
    check_manifest(files, result)
    for name in NEEDED:
        if name not in files:
            raise Fault(f"{name} is missing: this is not a bundle, or it was cut")
    about, withheld, withheld_packs = check_about(files)
    checkpoint = check_checkpoint(files, keys, witnesses, result)
    own = [parse_key(_text(files[KEY], KEY))] if KEY in files else []
    check_seal(files, checkpoint, list(keys) or own, result)
    entries, left_out = check_entries(files, checkpoint, result)
    if set(left_out) != withheld or about["entries"] != len(entries):
        raise Fault(
            "{} says {} entries and {} withheld, found {} and {}".format(
                ABOUT, about["entries"], len(withheld), len(entries), len(left_out)
            )
        )
    check_scans(files, entries, withheld_packs, result)
    check_earlier(files, checkpoint, keys, held, result)
    _say_limits(about, left_out, withheld_packs, result)


def _say_limits(
    about: dict[str, Any], left_out: dict[int, bytes], withheld_packs: set[int], result: Result
) -> None:
    if left_out:
        result.limits.append(
            f"what stands in {len(left_out)} entries: they name people and were withheld; their hashes are proven, their text is not here"
        )
    if withheld_packs:
        result.limits.append(
            f"the raw scans of {len(withheld_packs)} entries: they name people and were withheld"
        )
    result.limits += [
        (
            "that the tables, pictures, report, EPCIS and PROV files follow from the entries: compare what matters by eye; "
            "every row names its entry"
        ),
        "that all entries about {} are here: the plant chose them; ask for others by their number".format(
            about["subject"]
        ),
        "that what was recorded is true, and what was never recorded",
    ]


def main(words: list[str] | None = None) -> int:
    """Run the check on the command line; returns the exit code. What is not caught below is 3, never 1."""
    try:
        return _run(words)
    except KeyboardInterrupt:
        return 130
    except Exception as problem:  # noqa: BLE001  Python's own code for it would be 1: it holds, with reservations
        with contextlib.suppress(OSError):
            sys.stderr.write(f"verify.py could not finish ({type(problem).__name__}): nothing is confirmed\n")
        return 3


def _run(words: list[str] | None) -> int:
    parser = argparse.ArgumentParser(
        prog="verify.py",
        description="Check an audit bundle: folder or zip file. Nothing is unpacked or written.",
    )
    parser.add_argument("bundle", nargs="?", help="folder or zip file; default: where this file lies")
    parser.add_argument(
        "--key", action="append", default=[], help="verifier key of the journal: name+id+base64"
    )
    parser.add_argument("--witness", action="append", default=[], help="verifier key of another signer")
    parser.add_argument("--held", action="append", default=[], help="file with a checkpoint that you kept")
    given = parser.parse_args(words)
    place = given.bundle or os.path.dirname(os.path.abspath(__file__))
    result = Result()
    try:
        keys = [parse_key(text) for text in given.key]
        witnesses = [parse_key(text) for text in given.witness]
        held = []
        for name in given.held:
            if os.path.exists(name) and not os.path.isfile(name):
                raise Fault(f"{name} is not a plain file: folders, pipes and devices are not read")
            with open(name, "rb") as file:
                held.append((name, file.read(MOST_NOTE + 1)))
    except OSError as problem:
        sys.stderr.write(f"{shown(problem.filename)} cannot be read: {shown(problem.strerror)}\n")
        return 2
    except Fault as fault:
        sys.stderr.write(f"{shown(fault)}\n")
        return 2
    try:
        files, odd = read_bundle(place)
        result = verify(files, odd, keys, witnesses, held)
    except Fault as fault:
        result.faults.append(str(fault))
    text = "\n".join(result.lines()) + "\n"
    letters = sys.stdout.encoding or "ascii"
    sys.stdout.write(text.encode(letters, "backslashreplace").decode(letters))
    sys.stdout.flush()
    return result.code


if __name__ == "__main__":
    status = main()
    # A failure was told already; Python would try again, and end with a code of its own.
    with contextlib.suppress(OSError):
        sys.stdout.close()
    sys.exit(status)
