"""Signed notes and checkpoints: a text that people can read, with signatures below it.

A note is a text, an empty line, and a line for each signature: em dash, name of the key, and in base64 four
bytes that tell keys of one name apart, followed by the signature over the text. A checkpoint is a note whose
text says: this journal, so many entries, this root. Everything is read strictly, because two readers of one
checkpoint must see the same thing. Signing and checking themselves are done by store/journal/keys.py.

Source: C2SP signed-note and tlog-checkpoint; signature type 0x01 (Ed25519).
"""

import base64
import binascii
import hashlib
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from tracelink.errors import ProofFails

ED25519: Final = b"\x01"
"""The signature type written before a key."""

MOST_SIGNATURES: Final = 100
"""More signatures than this are refused unread; C2SP asks for at least 16."""

_DASH: Final = "\u2014 "
_KEY_BYTES: Final = 32
_ROOT_BYTES: Final = 32


@dataclass(frozen=True, slots=True)
class Signature:
    """One signature line."""

    name: str
    """Name of the key."""
    key_id: bytes
    """Four bytes that tell keys of one name apart."""
    value: bytes
    """The signature itself."""


@dataclass(frozen=True, slots=True)
class Note:
    """A text and its signatures, none of them checked yet."""

    text: str
    """Ends with a line feed."""
    signatures: tuple[Signature, ...]

    def encoded(self) -> bytes:
        """Return the note as it is stored and handed over, UTF-8."""
        lines = [f"{_DASH}{one.name} {to_base64(one.key_id + one.value)}\n" for one in self.signatures]
        return f"{self.text}\n{''.join(lines)}".encode()


@dataclass(frozen=True, slots=True)
class VerifierKey:
    """A public key with its name."""

    name: str
    """Characters without spaces and without a plus sign."""
    public: bytes
    """Ed25519 public key, 32 bytes."""

    @property
    def key_id(self) -> bytes:
        """Four bytes that tell keys of one name apart."""
        return key_id(self.name, self.public)

    def __str__(self) -> str:
        """Return the text by which the key is handed over: name+id+base64."""
        return f"{self.name}+{self.key_id.hex()}+{to_base64(ED25519 + self.public)}"


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """What the text of a checkpoint says."""

    origin: str
    """Name of the journal."""
    size: int
    """Number of entries."""
    root: bytes
    """Root of the Merkle tree over them, 32 bytes."""
    extensions: tuple[str, ...] = ()
    """Further lines, none of them empty; this program writes none."""

    def text(self) -> str:
        """Return the text to be signed."""
        return "".join(
            f"{line}\n" for line in (self.origin, self.size, to_base64(self.root), *self.extensions)
        )


_NO_CHARACTERS: Final = range(0xD800, 0xE000)
"""Halves of surrogate pairs: what stands for a byte of a command line that is not UTF-8."""

CheckSignature = Callable[[VerifierKey, bytes, bytes], bool]
"""Given key, signature and message: whether the signature is right."""


def key_id(name: str, public: bytes) -> bytes:
    """Return the four bytes that tell keys of one name apart."""
    return hashlib.sha256(name.encode() + b"\n" + ED25519 + public).digest()[:4]


def require_key_name(name: str) -> str:
    """Return `name` if a key may be called so.

    Raises:
        ProofFails: it is empty, or holds a space, a plus sign, a control character or what is no character at all.
    """
    if not name or "+" in name or any(ch.isspace() or ch < " " or ord(ch) in _NO_CHARACTERS for ch in name):
        raise ProofFails(
            f"{name!r} is not a name for a key: expected characters without spaces and without +"
        )
    return name


def key_name(plant: str) -> str:
    """Return the name under which the journal of a plant is signed: no spaces, no plus sign."""
    kept = "".join(" " if ch.isspace() or ch == "+" or ch < " " else ch for ch in plant)
    return require_key_name("-".join([*kept.split(), "journal"]))


def parse_verifier_key(text: str) -> VerifierKey:
    """Read a key text such as plant.example.com/journal+c3637c33+AddamAGCs...

    Raises:
        ProofFails: it is not an Ed25519 key, or its parts contradict each other.
    """
    parts = text.strip().split("+", 2)
    if len(parts) != 3:
        raise ProofFails(f"{text!r} is not a verifier key: expected name+id+base64")
    name, given, encoded = parts
    material = from_base64(encoded, "the verifier key")
    if len(material) != 1 + _KEY_BYTES or material[:1] != ED25519:
        raise ProofFails(f"the verifier key {text!r} is not of type Ed25519: expected 0x01 and 32 bytes")
    key = VerifierKey(require_key_name(name), material[1:])
    if given != key.key_id.hex():
        raise ProofFails(
            f"the verifier key {text!r} contradicts itself: its id is {key.key_id.hex()}, not {given}"
        )
    return key


def parse_note(data: bytes) -> Note:
    """Read a signed note.

    Args:
        data: the whole file.

    Raises:
        ProofFails: it is not the form of a signed note; says what was expected where.
    """
    try:
        whole = data.decode("utf-8")
    except UnicodeDecodeError as problem:
        raise ProofFails(f"the signed note is not UTF-8 text: byte {problem.start} cannot be read") from None
    if any(ch < " " and ch != "\n" for ch in whole):
        raise ProofFails("the signed note holds control characters: expected none but line feeds")
    text, gap, below = whole.rpartition("\n\n")
    if not gap:
        raise ProofFails("the signed note has no empty line before its signatures")
    if not below.endswith("\n"):
        raise ProofFails("the signed note is cut off: its last line does not end")
    lines = below[:-1].split("\n")
    if len(lines) > MOST_SIGNATURES:
        raise ProofFails(f"the signed note has {len(lines)} signatures: expected at most {MOST_SIGNATURES}")
    return Note(f"{text}\n", tuple(_signature(line) for line in lines))


def _signature(line: str) -> Signature:
    name, gap, encoded = line.removeprefix(_DASH).partition(" ")
    if not line.startswith(_DASH) or not gap:
        raise ProofFails(
            f"the signed note has {line!r} where a signature should be: expected dash, name, base64"
        )
    value = from_base64(encoded, f"the signature of {name}")
    if len(value) <= 4:
        raise ProofFails(
            f"the signature of {name} is too short: expected more than 4 bytes, found {len(value)}"
        )
    return Signature(require_key_name(name), value[:4], value[4:])


def parse_checkpoint(text: str) -> Checkpoint:
    """Read the text of a checkpoint.

    Raises:
        ProofFails: it does not say journal, number of entries and root, or not in their one form.
    """
    lines = text.split("\n")
    if len(lines) < 4 or lines[-1]:
        raise ProofFails(
            f"the checkpoint has {len(lines) - 1} lines: expected journal, number of entries, root"
        )
    origin, size, root, *extensions = lines[:-1]
    if not origin or not all(extensions):
        raise ProofFails("the checkpoint has an empty line where none may be")
    if not re.fullmatch(r"0|[1-9][0-9]{0,15}", size):
        raise ProofFails(f"the checkpoint says {size!r} entries: expected a number without leading zeros")
    found = from_base64(root, "the root in the checkpoint")
    if len(found) != _ROOT_BYTES:
        raise ProofFails(f"the root in the checkpoint has {len(found)} bytes: expected {_ROOT_BYTES}")
    return Checkpoint(origin, int(size), found, tuple(extensions))


def require_signed(note: Note, keys: Iterable[VerifierKey], check: CheckSignature) -> Sequence[VerifierKey]:
    """Return those of `keys` that signed a note, in the order of its signatures.

    A signature of a key that is not known says nothing, for or against. One of a known key that is wrong
    spoils the whole note.

    Raises:
        ProofFails: no known key signed, or a signature of a known key is wrong.

    Source:
        C2SP signed-note, "Verification".
    """
    known = {(key.name, key.key_id): key for key in keys}
    found: list[VerifierKey] = []
    for signature in note.signatures:
        key = known.get((signature.name, signature.key_id))
        if key is None:
            continue
        if not check(key, signature.value, note.text.encode()):
            raise ProofFails(
                f"the signature of {key.name} ({key.key_id.hex()}) does not fit the text: it was changed, or never signed"
            )
        if key not in found:
            found.append(key)
    if not found:
        signers = ", ".join(f"{one.name} ({one.key_id.hex()})" for one in note.signatures)
        wanted = ", ".join(f"{key.name} ({key.key_id.hex()})" for key in known.values()) or "no key"
        raise ProofFails(f"it is signed by {signers}, not by a key that is known here: {wanted}")
    return found


def to_base64(data: bytes) -> str:
    """Return bytes as base64 with padding (RFC 4648 section 4)."""
    return base64.b64encode(data).decode("ascii")


def from_base64(text: str, what: str) -> bytes:
    """Read base64 with padding, in the one form that `to_base64` writes; at least one byte.

    Raises:
        ProofFails: it is anything else; `what` names it in the sentence.
    """
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        data = b""
    if not data or to_base64(data) != text:
        # Otherwise two texts would mean the same bytes: spare bits at the end, or missing padding.
        raise ProofFails(f"{what} is not base64 in its one form: {text!r}")
    return data
