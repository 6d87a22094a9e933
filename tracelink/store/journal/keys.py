"""The key that signs checkpoints: a file that only its owner may read, beside the ledger.

The file holds one line, PRIVATE+KEY+name+id+base64(0x01 and 32 bytes), as golang.org/x/mod/sumdb/note writes such
keys. Beside it, with the ending .last, lies the last checkpoint that was signed with it, so that no two are
ever signed that contradict each other. Ed25519 is done by the library `cryptography`, loaded only here.
"""

import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tracelink.errors import LedgerBusy, ProofFails, RefusedByRule, StorageFailed, UsageError
from tracelink.ledger.proof.note import (
    ED25519,
    Checkpoint,
    Note,
    Signature,
    VerifierKey,
    from_base64,
    key_id,
    parse_checkpoint,
    parse_note,
    require_key_name,
    require_signed,
    to_base64,
)
from tracelink.plainfile import open_plain
from tracelink.store.database.engine import ledger_url
from tracelink.store.journal.secret_file import OWNER_ONLY, sync_folder, write_secret
from tracelink.store.only_reading import require_writable

_WORD = "PRIVATE+KEY"
_SEED_BYTES = 32


@dataclass(frozen=True, slots=True)
class SigningKey:
    """A private key with its name. Never printed: its text is only ever written to its file."""

    name: str
    seed: bytes = field(repr=False)
    """Ed25519 private key, 32 bytes (RFC 8032 section 5.1.5)."""

    @property
    def verifier(self) -> VerifierKey:
        """The public half."""
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415

        return VerifierKey(
            self.name, Ed25519PrivateKey.from_private_bytes(self.seed).public_key().public_bytes_raw()
        )

    def sign(self, text: str) -> Signature:
        """Return the signature over the text of a note.

        Raises:
            RefusedByRule: this is an auditor's session, in which nothing is signed in anybody's name.
        """
        require_writable(f"what {self.name} signs")
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey  # noqa: PLC0415

        value = Ed25519PrivateKey.from_private_bytes(self.seed).sign(text.encode())
        return Signature(self.name, self.verifier.key_id, value)


def is_signed(key: VerifierKey, value: bytes, message: bytes) -> bool:
    """Tell whether `value` is the signature of `key` over `message`."""
    from cryptography.exceptions import InvalidSignature  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey  # noqa: PLC0415

    try:
        Ed25519PublicKey.from_public_bytes(key.public).verify(value, message)
    except (InvalidSignature, ValueError):
        return False
    return True


def key_place(ledger: str, given: str | None) -> Path:
    """Return where the key of a ledger is: as given, or beside its file.

    Raises:
        UsageError: the ledger is on a database server and no file was given.
    """
    if given is not None:
        return Path(given)
    url = ledger_url(ledger)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise UsageError(f"{ledger} is on a database server: name the file of its signing key with --key")
    return Path(f"{url.database}.key")


def make_key(file: Path, name: str) -> VerifierKey:
    """Make a new key in a file that only its owner may read.

    Raises:
        UsageError: the file exists; a key is never overwritten.
        RefusedByRule: this is an auditor's session.
        StorageFailed: it cannot be written, or the place keeps nothing from others.
    """
    key = SigningKey(require_key_name(name), secrets.token_bytes(_SEED_BYTES))
    verifier = key.verifier
    text = f"{_WORD}+{name}+{verifier.key_id.hex()}+{to_base64(ED25519 + key.seed)}\n"
    refuse_existing_key(file)
    write_secret(file, text, "the key file")
    return verifier


def refuse_existing_key(file: Path) -> None:
    """Say that there is a key already.

    Raises:
        UsageError: it exists.
    """
    if file.exists() or file.is_symlink():
        raise UsageError(
            f"the key file {file} exists already, and a key is never overwritten: checkpoints that it signed could not "
            "be checked any more. Move it away, and keep it"
        )


@dataclass(frozen=True, slots=True)
class HeldKey:
    """A key while nobody else signs with it."""

    file: Path
    key: SigningKey

    def last(self) -> Checkpoint | None:
        """Return the last checkpoint signed with this key; None if it signed none yet.

        Raises:
            ProofFails: what is remembered is not what this key signed.
        """
        try:
            data = _memory(self.file).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as problem:
            raise StorageFailed(f"{_memory(self.file)} cannot be read: {problem.strerror}") from None
        try:
            note = parse_note(data)
            require_signed(note, [self.key.verifier], is_signed)
            return parse_checkpoint(note.text)
        except ProofFails as problem:
            raise ProofFails(
                f"{_memory(self.file)} should hold the last checkpoint signed with {self.file}: {problem}. Nothing is "
                f"signed before that is cleared up: put the right key back, or, if that one is lost and {self.file} is "
                f"new, move {_memory(self.file)} away, keep it, and tell those who hold earlier checkpoints"
            ) from None

    def sign(self, checkpoint: Checkpoint) -> Signature:
        """Sign a checkpoint that was compared with the last one, and remember it before anybody sees it."""
        text = checkpoint.text()
        signature = self.key.sign(text)
        write_whole(_memory(self.file), Note(text, (signature,)).encoded())
        return signature


@contextmanager
def held_key(file: Path) -> Iterator[HeldKey]:
    """Read a signing key and be the only one to sign with it while the block runs.

    Raises:
        UsageError: there is no such file, or it holds no key.
        RefusedByRule: others may read the file.
        LedgerBusy: another program signs with it now.
        ProofFails: the key contradicts itself.
    """
    import fcntl  # noqa: PLC0415  POSIX only, like the claim of a station

    try:
        opened = open_plain(file)
    except FileNotFoundError:
        raise UsageError(
            f"there is no signing key at {file}: make one with `runout audit key --make`, or name it with --key"
        ) from None
    except OSError as problem:
        raise StorageFailed(f"the key file {file} cannot be read: {problem.strerror}") from None
    with opened:
        mode = stat.S_IMODE(os.fstat(opened.fileno()).st_mode)
        if mode & ~OWNER_ONLY:
            raise RefusedByRule(
                f"the key file {file} may be read or changed by others (mode {mode:04o}): expected 0600. Nothing is signed "
                f"with it. If nobody can have read it: chmod 600 {file}"
            )
        try:
            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise LedgerBusy(
                f"something else signs with {file} just now: try again when it is done"
            ) from None
        yield HeldKey(file, _parsed(opened.read(4096), file))


def _parsed(data: bytes, file: Path) -> SigningKey:
    text = data.decode("utf-8", errors="replace").strip()
    parts = text.removeprefix(f"{_WORD}+").split("+", 2)
    if not text.startswith(f"{_WORD}+") or len(parts) != 3:
        raise UsageError(f"{file} holds no signing key: expected one line that begins with {_WORD}")
    name, given, encoded = parts
    try:
        material = from_base64(encoded, "the key")
    except ProofFails:
        # The sentence would show the key.
        raise UsageError(f"{file} holds no signing key: it is not base64") from None
    if len(material) != 1 + _SEED_BYTES or material[:1] != ED25519:
        raise UsageError(f"{file} holds no signing key of type Ed25519: expected 0x01 and 32 bytes")
    key = SigningKey(require_key_name(name), material[1:])
    if given != key_id(name, key.verifier.public).hex():
        raise ProofFails(
            f"the key file {file} was changed: its id is {key.verifier.key_id.hex()}, not {given}"
        )
    return key


def write_whole(file: Path, data: bytes) -> None:
    """Write a file whole or not at all, synced before it gets its name.

    Raises:
        StorageFailed: it cannot be written.
    """
    part = file.with_name(f"{file.name}.part")
    try:
        with part.open("wb") as opened:
            opened.write(data)
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(part, file)  # noqa: PTH105  the two are one file system and one name apart
        sync_folder(file)
    except OSError as problem:
        part.unlink(missing_ok=True)
        raise StorageFailed(f"{file} cannot be written: {problem.strerror}") from None


def last_signed(file: Path) -> tuple[Checkpoint, float] | None:
    """Return the last checkpoint that was signed with the key in a file, and when its file was written (seconds since 1970).

    The signature is not checked, so that whoever may not read the key can ask. None if none was signed.

    Raises:
        ProofFails: what is remembered is no checkpoint.
    """
    memory = _memory(file)
    try:
        return parse_checkpoint(parse_note(memory.read_bytes()).text), memory.stat().st_mtime
    except OSError:
        return None


def _memory(file: Path) -> Path:
    return file.with_name(f"{file.name}.last")
