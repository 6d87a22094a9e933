"""Check inclusion proofs of the Merkle tree: knowing only roots and sizes, and nothing of the tree.

Source: RFC 9162 section 2.1.3.2.
"""

from collections.abc import Sequence

from tracelink.errors import ProofFails
from tracelink.ledger.proof.merkle import node_hash


def verify_inclusion(leaf: bytes, index: int, size: int, root: bytes, proof: Sequence[bytes]) -> None:
    """Check that a leaf is where the proof says.

    Args:
        leaf: hash of the leaf, 32 bytes.
        index: of the leaf, counted from 0.
        size: of the tree.
        root: of the tree, 32 bytes.
        proof: as `inclusion` gives it.

    Raises:
        ProofFails: the leaf is not shown to be in that tree at that place.

    Source:
        RFC 9162 section 2.1.3.2.
    """
    _require_hashes(leaf, root, *proof)
    if not 0 <= index < size:
        raise ProofFails(f"a tree of {size} entries has no leaf {index}: they are counted from 0")
    here, last = index, size - 1
    found = leaf
    for beside in proof:
        if last == 0:
            raise ProofFails(f"the proof for leaf {index} of {size} has hashes left over")
        if here & 1 or here == last:
            found = node_hash(beside, found)
            # The last node of a level may stand several levels higher than its neighbour.
            here, last = _up_to_right_child(here, last)
        else:
            found = node_hash(found, beside)
        here, last = here >> 1, last >> 1
    if last:
        raise ProofFails(f"the proof for leaf {index} of {size} is cut off")
    if found != root:
        raise ProofFails(f"leaf {index} of {size} leads to root {found.hex()}, expected {root.hex()}")


def _up_to_right_child(here: int, last: int) -> tuple[int, int]:
    while here and not here & 1:
        here, last = here >> 1, last >> 1
    return here, last


def _require_hashes(*given: bytes) -> None:
    for each in given:
        if len(each) != 32:
            raise ProofFails(
                f"{each.hex() or 'nothing'} is not a SHA-256 hash: expected 32 bytes, found {len(each)}"
            )
