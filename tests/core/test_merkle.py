"""The tree of RFC 6962, with published vectors.

Leaves, roots and proof hashes: transparency-dev/merkle, testonly/constants.go and
cmd/proofgen/main.go. The ways in which a proof is corrupted follow its testdata.
"""

from __future__ import annotations

import pytest

from tablesync.core.merkle import MerkleTree, TreeHead, contains, extends

LEAVES = tuple(
    bytes.fromhex(leaf)
    for leaf in (
        "",
        "00",
        "10",
        "2021",
        "3031",
        "40414243",
        "5051525354555657",
        "606162636465666768696a6b6c6d6e6f",
    )
)
ROOTS = tuple(
    bytes.fromhex(root)
    for root in (
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    )
)
TREE = MerkleTree(LEAVES)


def starts(proof: tuple[bytes, ...]) -> list[str]:
    return [node[:8].hex() for node in proof]


@pytest.mark.parametrize("size", range(9))
def test_the_roots_are_those_published(size: int) -> None:
    assert MerkleTree(LEAVES[:size]).head() == TreeHead(size, ROOTS[size])
    assert TREE.head_at(size) == TreeHead(size, ROOTS[size])


def test_the_inclusion_proof_is_the_one_published() -> None:
    assert starts(TREE.inclusion(5, 8)) == [
        "bc1a0643b12e4d2d",
        "ca854ea128ed050b",
        "d37ee418976dd957",
    ]


@pytest.mark.parametrize(
    ("size", "published"),
    [
        (8, ["0ebc5d3437fbe2db", "ca854ea128ed050b", "d37ee418976dd957"]),
        (7, ["0ebc5d3437fbe2db", "b08693ec2e721597", "d37ee418976dd957"]),
    ],
)
def test_the_consistency_proofs_are_those_published(
    size: int, published: list[str]
) -> None:
    assert starts(TREE.consistency(6, size)) == published


def test_every_leaf_of_every_tree_has_a_proof_that_shows_it() -> None:
    tree = MerkleTree(bytes([n]) for n in range(33))
    for size in range(1, 34):
        head = tree.head_at(size)
        for index in range(size):
            proof = tree.inclusion(index, size)
            assert contains(head, index, bytes([index]), proof)
            assert not contains(head, index, b"other", proof)


def test_every_tree_is_shown_to_begin_with_every_earlier_one() -> None:
    tree = MerkleTree(bytes([n]) for n in range(33))
    for size in range(34):
        for old in range(size + 1):
            proof = tree.consistency(old, size)
            assert extends(tree.head_at(size), tree.head_at(old), proof)


def test_a_tree_with_an_earlier_leaf_changed_extends_no_old_one() -> None:
    for old in range(1, 9):
        for changed in range(old):
            leaves = list(LEAVES)
            leaves[changed] = b"changed"
            forged = MerkleTree(leaves)
            proof = forged.consistency(old, 8)
            assert not extends(forged.head(), TREE.head_at(old), proof)


def corrupted(proof: tuple[bytes, ...]) -> list[tuple[bytes, ...]]:
    """The proof with a node lost, added, doubled, swapped or with one bit changed."""
    ways = [(*proof, b""), (*proof, ROOTS[0]), (ROOTS[0], *proof), proof[::-1]]
    for at, node in enumerate(proof):
        ways.append((*proof[:at], *proof[at + 1 :]))
        ways.append((*proof[:at], node, *proof[at:]))
        for bit in (0, 255):
            flipped = bytearray(node)
            flipped[bit // 8] ^= 1 << bit % 8
            ways.append((*proof[:at], bytes(flipped), *proof[at + 1 :]))
        ways.append((*proof[:at], node + b"\x00", *proof[at + 1 :]))
        ways.append((*proof[:at], node[:-1], *proof[at + 1 :]))
    return [way for way in ways if way != proof]


@pytest.mark.parametrize(
    ("index", "size"), [(0, 8), (5, 8), (2, 3), (1, 5), (4, 5), (6, 7)]
)
def test_a_corrupted_inclusion_proof_is_refused(index: int, size: int) -> None:
    proof, head = TREE.inclusion(index, size), TREE.head_at(size)
    leaf = LEAVES[index]
    for way in corrupted(proof):
        assert not contains(head, index, leaf, way)
    for wrong in (-1, index ^ 1, index + 1, index ^ 2, size, size + 2**40):
        assert not contains(head, wrong, leaf, proof)
    for root in (b"", b"\x00" * 32, ROOTS[size - 1], head.root + b"\x00"):
        assert not contains(TreeHead(size, root), index, leaf, proof)
    for other in (0, size + 100, index):
        assert not contains(TreeHead(other, head.root), index, leaf, proof)


@pytest.mark.parametrize(
    ("old", "size"), [(1, 8), (6, 8), (2, 5), (6, 7), (3, 8), (4, 8), (7, 8)]
)
def test_a_corrupted_consistency_proof_is_refused(old: int, size: int) -> None:
    proof = TREE.consistency(old, size)
    before, after = TREE.head_at(old), TREE.head_at(size)
    for way in corrupted(proof):
        assert not extends(after, before, way)
    assert not extends(before, after, proof)
    assert not extends(TreeHead(size, before.root), TreeHead(old, after.root), proof)
    assert not extends(after, TreeHead(old, b"\x00" * 32), proof)
    assert not extends(TreeHead(size, b"\x00" * 32), before, proof)
    assert not extends(TreeHead(old, after.root), before, proof)


def test_a_proof_between_equal_trees_is_empty_and_the_roots_are_compared() -> None:
    head = TREE.head_at(5)
    assert extends(head, head, ())
    assert not extends(head, head, (ROOTS[1],))
    assert not extends(head, TreeHead(5, ROOTS[4]), ())
    assert not extends(head, TreeHead(0, ROOTS[1]), ())


def test_what_is_not_in_the_tree_has_no_proof() -> None:
    for index, size in ((-1, 8), (8, 8), (0, 9), (3, 3)):
        with pytest.raises(ValueError, match="no leaf"):
            TREE.inclusion(index, size)
    for old, size in ((-1, 8), (5, 4), (0, 9)):
        with pytest.raises(ValueError, match="no trees"):
            TREE.consistency(old, size)
    for size in (-1, 9):
        with pytest.raises(ValueError, match="8 leaves"):
            TREE.head_at(size)
