"""The relay's checkpoints of one game: when it signs, what it tells, who countersigns.

It signs over what is on its disk, in the order in which it was stored: now and then
while entries come in, and at once when somebody signs the record off.
"""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING

from tablesync.checkpoint import (
    Countersignature,
    sign_checkpoint,
    verify_countersignature,
)
from tablesync.core.acts import SignOff
from tablesync.core.merkle import MerkleTree
from tablesync.errors import CheckpointError
from tablesync.statement import SOFTWARE
from tablesync.sync.messages import Signed

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.checkpoint import Checkpoint
    from tablesync.core.entries import Entry
    from tablesync.core.vector_clock import DeviceId
    from tablesync.seal import DeviceKey
    from tablesync.sync.messages import Countersign

__all__ = ["EVERY_MS", "Notary"]

EVERY_MS = 30_000
"""While entries come in, so often is a checkpoint signed."""
MOST_DIGESTS = 1_500
"""As many fit into a frame; who lacks more is told in several checkpoints."""
NEVER_MS = 2**63


class Notary:
    """Signs what a relay holds of one game, and collects countersignatures."""

    def __init__(
        self, key: DeviceKey, game: bytes, stored: Iterable[bytes], now_ms: int
    ) -> None:
        """Goes on with a game of which these entries are on the disk, in this order."""
        self._key = key
        self._game = game
        self._listed = dict.fromkeys(stored)
        self._tree = MerkleTree()
        self._signed: dict[int, Checkpoint] = {}
        self._by: dict[int, dict[DeviceId, Countersignature]] = {}
        self._signed_ms = now_ms
        self._is_new = bool(self._listed)
        self._is_final = False

    @property
    def due_ms(self) -> int:
        """When the next checkpoint is to be signed; far off where nothing is new."""
        if self._is_final:
            return self._signed_ms
        return self._signed_ms + EVERY_MS if self._is_new else NEVER_MS

    def stored(self, entries: Iterable[Entry]) -> None:
        """These are on the disk now, in this order."""
        for entry in entries:
            if entry.digest in self._listed:
                # A damaged one that somebody has sent again keeps its place.
                continue
            self._listed[entry.digest] = None
            self._is_new = True
            self._is_final |= isinstance(entry.act, SignOff)

    def sign(self, now_ms: int) -> Checkpoint:
        """Signs what is on the disk."""
        self._signed_ms = now_ms
        self._is_new = self._is_final = False
        return self._sign(len(self._listed), now_ms)

    def _sign(self, size: int, now_ms: int) -> Checkpoint:
        # Only now: whoever waits for an acknowledgement doesn't wait for the tree.
        for digest in islice(self._listed, len(self._tree), None):
            self._tree.append(digest)
        head = self._tree.head_at(size)
        checkpoint = sign_checkpoint(self._key, self._game, head, now_ms, SOFTWARE)
        self._signed[size] = checkpoint
        self._by[size] = {}
        return checkpoint

    def newest_for(self, seen: int, now_ms: int) -> Signed | None:
        """The newest checkpoint for a device; None where there is nothing to tell.

        Args:
            seen: how many entries the last one was over that it has countersigned.
            now_ms: the relay's clock.
        """
        newest = max(self._signed, default=0)
        if newest <= seen:
            return None
        size = min(newest, seen + MOST_DIGESTS)
        if size not in self._signed:
            self._sign(size, now_ms)
        checkpoint = self._signed[size]
        digests = tuple(self._listed)[seen:size]
        return Signed(checkpoint.payload, checkpoint.signature, seen, digests)

    def countersigned(
        self, device: DeviceId, said: Countersign
    ) -> tuple[Checkpoint, tuple[Countersignature, ...]]:
        """A device holds the same; tells the checkpoint with all who do.

        Raises:
            CheckpointError: there is no such checkpoint, or it is not the device's
                signature of it.
        """
        checkpoint = self._signed.get(said.size)
        if checkpoint is None:
            what = "was never signed here, or before the relay was started"
            raise CheckpointError(f"over {said.size} entries", what)
        counter = Countersignature(device, said.signature, said.statement)
        verify_countersignature(checkpoint, counter)
        by = self._by[said.size]
        by[device] = counter
        return checkpoint, tuple(by[one] for one in sorted(by))
