"""A consistency proof checked from nothing but its hashes, as a stranger would."""

from collections.abc import Sequence

from tracelink.errors import ProofFails
from tracelink.ledger.proof.merkle import EMPTY_ROOT, node_hash
from tracelink.ledger.proof.merkle_proofs import _require_hashes, _up_to_right_child


def verify_consistency(old: int, new: int, old_root: bytes, new_root: bytes, proof: Sequence[bytes]) -> None:
    """Check that a later tree begins with an earlier one.

    Args:
        old: size of the earlier tree.
        new: size of the later tree.
        old_root: root of the earlier tree, 32 bytes.
        new_root: root of the later tree, 32 bytes.
        proof: as `consistency` gives it.

    Raises:
        ProofFails: the later tree is not shown to begin with the earlier one.

    Source:
        RFC 9162 section 2.1.4.2; RFC 6962 section 2.1.2 leaves out the empty tree, with which every tree begins.
    """
    _require_hashes(old_root, new_root, *proof)
    if not 0 <= old <= new:
        raise ProofFails(f"a tree of {new} entries cannot begin with one of {old}")
    if old in (0, new):
        _verify_trivial(old, new, old_root, new_root, proof)
        return
    earlier, later = _two_roots(old, new, list(proof) if old & (old - 1) else [old_root, *proof])
    for size, found, expected in ((old, earlier, old_root), (new, later, new_root)):
        if found != expected:
            raise ProofFails(
                f"the proof from {old} to {new} entries leads to root {found.hex()} for {size} entries, "
                f"expected {expected.hex()}"
            )


def _two_roots(old: int, new: int, path: Sequence[bytes]) -> tuple[bytes, bytes]:
    """Return the roots of both trees to which a proof leads, its first hash being one that they share."""
    here, last = old - 1, new - 1
    while here & 1:
        here, last = here >> 1, last >> 1
    if not path:
        raise ProofFails(f"the proof from {old} to {new} entries is cut off")
    earlier = later = path[0]
    for beside in path[1:]:
        if last == 0:
            raise ProofFails(f"the proof from {old} to {new} entries has hashes left over")
        if here & 1 or here == last:
            earlier, later = node_hash(beside, earlier), node_hash(beside, later)
            here, last = _up_to_right_child(here, last)
        else:
            later = node_hash(later, beside)
        here, last = here >> 1, last >> 1
    if last:
        raise ProofFails(f"the proof from {old} to {new} entries is cut off")
    return earlier, later


def _verify_trivial(old: int, new: int, old_root: bytes, new_root: bytes, proof: Sequence[bytes]) -> None:
    if proof:
        raise ProofFails(f"the proof from {old} to {new} entries has hashes left over")
    if old == 0 and old_root != EMPTY_ROOT:
        raise ProofFails(f"the root of no entries is {EMPTY_ROOT.hex()}, found {old_root.hex()}")
    if old == new and old_root != new_root:
        raise ProofFails(f"two roots of {new} entries differ: {old_root.hex()} and {new_root.hex()}")
