"""Roots and proofs next to those of pymerkle, an independent implementation of the same tree."""

import hashlib

from pymerkle import InmemoryTree
from support_merkle import verify_consistency

from tracelink.ledger.proof import merkle, merkle_proofs


def both(size):
    theirs = InmemoryTree(algorithm="sha256")
    ours = []
    for n in range(size):
        data = b"entry %d" % n
        theirs.append_entry(data)
        ours.append(hashlib.sha256(b"\x00" + data).digest())
    return theirs, merkle.Leaves(ours), ours


def test_roots():
    theirs, ours, _leaves = both(300)
    for size in range(301):
        assert merkle.root(ours, size) == theirs.get_root(size)


def test_inclusion_proofs():
    """Theirs counts leaves from 1 and begins the path with the leaf itself."""
    theirs, ours, leaves = both(48)
    for size in range(1, 49):
        for index in range(size):
            found = theirs.prove_inclusion(index + 1, size)
            assert merkle.inclusion(ours, index, size) == tuple(found.path[1:])
            merkle_proofs.verify_inclusion(leaves[index], index, size, theirs.get_root(size), found.path[1:])


def test_consistency_proofs_lead_to_their_roots():
    """Theirs writes this proof in another form; ours must lead to the two roots that it computes."""
    theirs, ours, _leaves = both(48)
    for new in range(1, 49):
        for old in range(1, new + 1):
            proof = merkle.consistency(ours, old, new)
            verify_consistency(old, new, theirs.get_root(old), theirs.get_root(new), proof)
            theirs.prove_consistency(old, new).verify(theirs.get_root(old), theirs.get_root(new))
