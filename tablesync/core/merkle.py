"""A Merkle tree over a list that only grows, in the form of RFC 6962, section 2.1.

Its root is a fingerprint of every leaf and of their order. A short proof shows that a
leaf is in the tree of a root, or that one root's tree begins with all of another's, to
somebody who has only the roots. Proofs are checked as RFC 9162, sections 2.1.3.2 and
2.1.4.2, lays down.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, TypeAlias

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

__all__ = ["MerkleTree", "Proof", "TreeHead", "contains", "extends"]

Proof: TypeAlias = tuple[bytes, ...]
"""The hashes that a root can't be computed without, from the leaves up."""

EMPTY_ROOT = sha256().digest()
NODE_BYTES = 32


@dataclass(frozen=True, slots=True)
class TreeHead:
    """A tree by its number of leaves and its root."""

    size: int
    root: bytes


class MerkleTree:
    """Leaves in order, and the roots and proofs of every tree that it has been."""

    def __init__(self, leaves: Iterable[bytes] = ()) -> None:
        # Node after node, for each level: as objects they would take twice as much.
        self._levels: list[bytearray] = [bytearray()]
        for leaf in leaves:
            self.append(leaf)

    def __len__(self) -> int:
        return len(self._levels[0]) // NODE_BYTES

    def append(self, leaf: bytes) -> None:
        """Adds a leaf at the end."""
        node = _leaf_hash(leaf)
        # A level holds full subtrees only; every second one fills a larger.
        for level in self._levels:
            level += node
            if len(level) % (2 * NODE_BYTES):
                return
            node = sha256(b"\x01" + level[-2 * NODE_BYTES :]).digest()
        self._levels.append(bytearray(node))

    def head(self) -> TreeHead:
        """The tree as it is now."""
        return self.head_at(len(self))

    def head_at(self, size: int) -> TreeHead:
        """The tree as it was with that many leaves.

        Raises:
            ValueError: it has never had so many.
        """
        if not 0 <= size <= len(self):
            raise ValueError(f"the tree has {len(self)} leaves, not {size}")
        return TreeHead(size, self._hash(0, size) if size else EMPTY_ROOT)

    def inclusion(self, index: int, size: int) -> Proof:
        """Shows that the tree of that size has the leaf at `index`, from 0.

        Raises:
            ValueError: there is no such leaf or no such tree.
        """
        if not 0 <= index < size <= len(self):
            raise ValueError(f"no leaf {index} among {size} of {len(self)}")
        return tuple(self._path(index, 0, size))

    def consistency(self, old_size: int, size: int) -> Proof:
        """Shows that the tree of that size begins with all of the old one's leaves.

        Raises:
            ValueError: there is no such tree.
        """
        if not 0 <= old_size <= size <= len(self):
            raise ValueError(f"no trees of {old_size} and {size} of {len(self)}")
        if old_size in (0, size):
            return ()
        return tuple(self._common(old_size, 0, size))

    def _hash(self, start: int, stop: int) -> bytes:
        count = stop - start
        if count.bit_count() == 1:
            # Every split leaves the left part full and at a multiple of its size.
            at = start // count * NODE_BYTES
            level = self._levels[count.bit_length() - 1]
            return bytes(level[at : at + NODE_BYTES])
        middle = start + _split(count)
        return _node_hash(self._hash(start, middle), self._hash(middle, stop))

    def _path(self, index: int, start: int, stop: int) -> list[bytes]:
        if stop - start == 1:
            return []
        middle = start + _split(stop - start)
        if index < middle:
            return [*self._path(index, start, middle), self._hash(middle, stop)]
        return [*self._path(index, middle, stop), self._hash(start, middle)]

    def _common(self, old_stop: int, start: int, stop: int) -> list[bytes]:
        if old_stop == stop:
            # The old root itself is known to whoever checks.
            return [self._hash(start, stop)] if start else []
        middle = start + _split(stop - start)
        if old_stop <= middle:
            return [*self._common(old_stop, start, middle), self._hash(middle, stop)]
        return [*self._common(old_stop, middle, stop), self._hash(start, middle)]


def contains(head: TreeHead, index: int, leaf: bytes, proof: Sequence[bytes]) -> bool:
    """Whether the proof shows that the leaf at `index` of the tree is this one."""
    if not 0 <= index < head.size:
        return False
    node, last = index, head.size - 1
    root = _leaf_hash(leaf)
    for other in proof:
        if last == 0:
            return False
        if node % 2 or node == last:
            root = _node_hash(other, root)
            node, last = _skip_full(node, last)
        else:
            root = _node_hash(root, other)
        node, last = node // 2, last // 2
    return last == 0 and root == head.root


def extends(head: TreeHead, old: TreeHead, proof: Sequence[bytes]) -> bool:
    """Whether the proof shows that the tree begins with all leaves of the old one."""
    if old.size == 0:
        return old.root == EMPTY_ROOT and not proof
    if old.size == head.size:
        return old.root == head.root and not proof
    if old.size > head.size:
        return False
    path = list(proof)
    if old.size.bit_count() == 1:
        path.insert(0, old.root)
    if not path:
        return False
    node, last = old.size - 1, head.size - 1
    while node % 2:
        node, last = node // 2, last // 2
    old_root = root = path[0]
    for other in path[1:]:
        if last == 0:
            return False
        if node % 2 or node == last:
            old_root = _node_hash(other, old_root)
            root = _node_hash(other, root)
            node, last = _skip_full(node, last)
        else:
            root = _node_hash(root, other)
        node, last = node // 2, last // 2
    return last == 0 and old_root == old.root and root == head.root


def _skip_full(node: int, last: int) -> tuple[int, int]:
    """Goes up past the levels on which the node has no neighbour to the right."""
    while node and node % 2 == 0:
        node, last = node // 2, last // 2
    return node, last


def _split(count: int) -> int:
    """The largest power of two below `count`, which is more than one."""
    return 1 << ((count - 1).bit_length() - 1)


def _leaf_hash(leaf: bytes) -> bytes:
    return sha256(b"\x00" + leaf).digest()


def _node_hash(left: bytes, right: bytes) -> bytes:
    return sha256(b"\x01" + left + right).digest()
