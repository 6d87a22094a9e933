"""The Merkle tree: published values, every small tree in full, and what must not pass for a proof."""

import hashlib
import random

import pytest
from support_merkle import verify_consistency
from support_vectors import by_id, load

from tracelink.errors import ProofFails
from tracelink.ledger.proof import merkle, merkle_proofs
from tracelink.ledger.proof.merkle import EMPTY_ROOT, Frontier, Leaves

MOST = 70
"""Trees up to this size are looked at in full: more than two stored levels' worth of shapes."""


def leaf(data: bytes) -> bytes:
    return hashlib.sha256(b"\x00" + data).digest()


LEAVES = [leaf(b"%d" % n) for n in range(MOST)]
TREE = Leaves(LEAVES)
ROOTS = [merkle.root(TREE, size) for size in range(MOST + 1)]


def hashes(given):
    return [bytes.fromhex(one) for one in given]


class TestPublished:
    @pytest.mark.parametrize("case", load("evidence", "rfc6962-root"), ids=by_id)
    def test_roots(self, case):
        leaves = [leaf(one) for one in hashes(case["input"]["leaves_hex"])]
        assert merkle.root(Leaves(leaves), len(leaves)).hex() == case["expected"], case["source"]
        grown = Frontier()
        for one in leaves:
            grown.add(one)
        assert grown.root().hex() == case["expected"], case["source"]

    KNOWN = max(load("evidence", "rfc6962-root"), key=lambda case: len(case["input"]["leaves_hex"]))
    EIGHT = Leaves(leaf(one) for one in hashes(KNOWN["input"]["leaves_hex"]))

    @pytest.mark.parametrize("case", load("evidence", "rfc6962-inclusion"), ids=by_id)
    def test_inclusion_proofs(self, case):
        given = case["input"]
        proof = merkle.inclusion(self.EIGHT, given["leaf_index"], given["tree_size"])
        assert [one.hex() for one in proof] == case["expected"], case["source"]
        data = leaf(bytes.fromhex(given["leaf_hex"]))
        root = bytes.fromhex(given["root"])
        merkle_proofs.verify_inclusion(data, given["leaf_index"], given["tree_size"], root, proof)

    @pytest.mark.parametrize("case", load("evidence", "rfc6962-consistency"), ids=by_id)
    def test_consistency_proofs(self, case):
        given = case["input"]
        proof = merkle.consistency(self.EIGHT, given["old_size"], given["new_size"])
        assert [one.hex() for one in proof] == case["expected"], case["source"]
        roots = hashes([given["old_root"], given["new_root"]])
        verify_consistency(given["old_size"], given["new_size"], *roots, proof)

    @pytest.mark.parametrize("case", load("evidence", "rfc6962-inclusion-verify"), ids=by_id)
    def test_inclusion_proofs_that_must_fail(self, case):
        given = case["input"]
        assert case["expected"] is False
        with pytest.raises(ProofFails):
            merkle_proofs.verify_inclusion(
                leaf(bytes.fromhex(given["leaf_hex"])),
                given["leaf_index"],
                given["tree_size"],
                bytes.fromhex(given["root"]),
                hashes(given["path"]),
            )

    @pytest.mark.parametrize("case", load("evidence", "rfc6962-consistency-verify"), ids=by_id)
    def test_consistency_proofs_that_must_fail(self, case):
        given = case["input"]
        assert case["expected"] is False
        roots = hashes([given["old_root"], given["new_root"]])
        with pytest.raises(ProofFails):
            verify_consistency(given["old_size"], given["new_size"], *roots, hashes(given["proof"]))


class TestEverySmallTree:
    def test_every_leaf_of_every_tree_is_proven_to_be_in_it(self):
        for size in range(1, MOST + 1):
            for index in range(size):
                proof = merkle.inclusion(TREE, index, size)
                merkle_proofs.verify_inclusion(LEAVES[index], index, size, ROOTS[size], proof)
                assert len(proof) <= (size - 1).bit_length()

    def test_every_tree_is_proven_to_begin_with_every_smaller_one(self):
        for new in range(MOST + 1):
            for old in range(new + 1):
                proof = merkle.consistency(TREE, old, new)
                verify_consistency(old, new, ROOTS[old], ROOTS[new], proof)

    def test_a_tree_grows_to_the_same_root_from_any_size(self):
        for start in range(MOST + 1):
            grown = Frontier.of(TREE, start)
            for size in range(start, MOST):
                assert grown.root() == ROOTS[size]
                grown.add(LEAVES[size])
            assert (grown.size, grown.root()) == (MOST, ROOTS[MOST])

    def test_each_subtree_of_a_stored_level_is_told_once_when_it_is_complete(self):
        told = []
        grown = Frontier(completed=lambda level, place, digest: told.append((level, place, digest)))
        data = [leaf(b"%d" % n) for n in range(520)]
        for size, one in enumerate(data, 1):
            before = len(told)
            grown.add(one)
            assert len(told) - before == (size % 16 == 0) + (size % 256 == 0)
        at = Leaves(data)
        expected = {(4, place): at.subtree(4, place) for place in range(32)}
        expected |= {(8, place): at.subtree(8, place) for place in range(2)}
        assert len(told) == len(expected)
        assert {(level, place): digest for level, place, digest in told} == expected


class TestWhatIsNoProof:
    """Every single change to a proof, or to what it is about, is refused."""

    def test_changed_inclusion_proofs(self):
        for size in range(1, 20):
            for index in range(size):
                proof = list(merkle.inclusion(TREE, index, size))
                right = (LEAVES[index], index, size, ROOTS[size], proof)
                wrong = [
                    (LEAVES[index], other, size, ROOTS[size], proof)
                    for other in range(-1, 21)
                    if other != index
                ]
                wrong += [(LEAVES[(index + 1) % MOST], *right[1:]), (*right[:3], ROOTS[size + 1], proof)]
                wrong += [(*right[:4], changed) for changed in _changed(proof)]
                merkle_proofs.verify_inclusion(*right)
                for given in wrong:
                    with pytest.raises(ProofFails):
                        merkle_proofs.verify_inclusion(*given)

    def test_changed_consistency_proofs(self):
        for new in range(1, 20):
            for old in range(1, new + 1):
                proof = list(merkle.consistency(TREE, old, new))
                roots = (ROOTS[old], ROOTS[new])
                wrong = [(old, new, *roots, changed) for changed in _changed(proof)]
                wrong += [
                    (old, new, ROOTS[old - 1], roots[1], proof),
                    (old, new, roots[0], ROOTS[new + 1], proof),
                ]
                wrong += [(new + 1, new, *roots, proof), (-1, new, *roots, proof)]
                verify_consistency(old, new, *roots, proof)
                for given in wrong:
                    with pytest.raises(ProofFails):
                        verify_consistency(*given)

    def test_no_entries(self):
        assert ROOTS[0] == EMPTY_ROOT == hashlib.sha256(b"").digest()
        verify_consistency(0, 5, EMPTY_ROOT, ROOTS[5], ())
        for given in ((ROOTS[1], ROOTS[5], ()), (EMPTY_ROOT, ROOTS[5], (ROOTS[1],))):
            with pytest.raises(ProofFails):
                verify_consistency(0, 5, *given)
        with pytest.raises(ProofFails, match="has no leaf 0"):
            merkle_proofs.verify_inclusion(LEAVES[0], 0, 0, EMPTY_ROOT, ())

    def test_what_is_asked_for_must_be_there(self):
        for index, size in ((0, 0), (5, 5), (-1, 5)):
            with pytest.raises(ProofFails, match=f"a tree of {size} entries has no leaf {index}"):
                merkle.inclusion(TREE, index, size)
        with pytest.raises(ProofFails, match="a tree of 5 entries cannot begin with one of 6"):
            merkle.consistency(TREE, 6, 5)

    @pytest.mark.parametrize("length", [0, 31, 33])
    def test_hashes_of_another_length_prove_nothing(self, length):
        """Of a tree of one the leaf is the root, whatever it is; so a text that is no hash would prove itself."""
        short = b"x" * length
        with pytest.raises(ProofFails, match=f"expected 32 bytes, found {length}"):
            merkle_proofs.verify_inclusion(short, 0, 1, short, ())
        with pytest.raises(ProofFails, match=f"expected 32 bytes, found {length}"):
            merkle_proofs.verify_inclusion(LEAVES[0], 0, 2, ROOTS[2], (short,))

    def test_the_sentence_names_both_roots(self):
        with pytest.raises(ProofFails) as told:
            merkle_proofs.verify_inclusion(LEAVES[0], 0, 1, ROOTS[2], ())
        assert str(told.value) == f"leaf 0 of 1 leads to root {LEAVES[0].hex()}, expected {ROOTS[2].hex()}"


def _changed(proof):
    """Proofs that differ from a right one in a single way."""
    rng = random.Random(len(proof))
    for place in range(len(proof)):
        bit = 1 << rng.randrange(8)
        at = rng.randrange(32)
        other = proof[place][:at] + bytes([proof[place][at] ^ bit]) + proof[place][at + 1 :]
        yield [*proof[:place], other, *proof[place + 1 :]]
        yield [*proof[:place], *proof[place + 1 :]]
        yield [*proof[:place], proof[place], *proof[place:]]
        yield [*proof[:place], proof[place][:-1], *proof[place + 1 :]]
        if place:
            yield [*proof[: place - 1], proof[place], proof[place - 1], *proof[place + 1 :]]
    yield [*proof, EMPTY_ROOT]
