"""Checkpoints: what a relay holds of a game, signed, and countersigned by devices.

A device signs its own entries, so nobody can change one. But a relay could still leave
an entry out, or show the book's device one history and the clock's another. Therefore
it signs, now and then, the root of a Merkle tree over everything that it holds, and
every device that can see the same countersigns. Two checkpoints of one relay over the
same number of entries with different roots are proof against it.

The leaves are the entries' digests in the order in which the relay stored them, which
is the only order that never changes while a history grows: in the common order a late
entry comes between older ones. The order is the relay's own, so it tells the digests
added since the last checkpoint that the device has countersigned. The device takes them
to its list of leaves if it holds each of these entries and none is listed yet, and
countersigns if the root follows. The record file lists the entries in that order.

A checkpoint's payload is the msgpack array

    [2, game's id, number of entries, root, table time, signer's public key, program]

and a countersignature signs payload, signature and the device's `statement` together.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

import msgpack

from tablesync.core.merkle import MerkleTree, TreeHead
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import CheckpointError, FieldError
from tablesync.frozen import dataclass
from tablesync.seal import LATEST_MS, has_signed
from tablesync.statement import MOST_PROGRAM, read_statement
from tablesync.strict_msgpack import unpack

if TYPE_CHECKING:
    from collections.abc import Container, Sequence

    from tablesync.seal import DeviceKey

__all__ = [
    "MOST_BYTES",
    "Checkpoint",
    "Countersignature",
    "Witness",
    "contradict",
    "countersign",
    "read_checkpoint",
    "sign_checkpoint",
    "verify_checkpoint",
    "verify_countersignature",
]

CHECKPOINT_VERSION = 2
MOST_BYTES = 256
"""No payload is larger."""
MOST_ENTRIES = 2**31
_DOMAIN = b"tablesync checkpoint\x00"
_COUNTER_DOMAIN = b"tablesync countersignature\x00"


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """A signer's word that it held these entries, in this order, at that time."""

    game: bytes
    """The game's id."""
    head: TreeHead
    """How many entries, and the root over their digests."""
    table_time_ms: int
    signer: DeviceId
    software: str
    """The signer's program and its version."""
    payload: bytes = field(repr=False)
    """The exact bytes that were signed."""
    signature: bytes = field(repr=False)

    def __str__(self) -> str:
        return f"over {self.head.size} entries"


@dataclass(frozen=True, slots=True)
class Countersignature:
    """A device's word that it held the entries of a checkpoint too."""

    device: DeviceId
    signature: bytes = field(repr=False)
    statement: bytes = field(repr=False)
    """What it states of its program and clock; signed with the checkpoint."""


def sign_checkpoint(
    key: DeviceKey, game: bytes, head: TreeHead, table_time_ms: int, software: str
) -> Checkpoint:
    """Signs the root over the entries that the key's owner holds."""
    covered = (game, head.size, head.root, table_time_ms)
    payload: bytes = msgpack.packb([CHECKPOINT_VERSION, *covered, key.device, software])
    return read_checkpoint(payload, key.sign_as(_DOMAIN, payload))


def read_checkpoint(payload: bytes, signature: bytes) -> Checkpoint:
    """Reads a checkpoint, strictly; `verify_checkpoint` checks the signature.

    Raises:
        CheckpointError: the bytes are no checkpoint of this version.
    """
    if len(payload) > MOST_BYTES or len(signature) != 64:
        raise CheckpointError("?", "its payload or signature has a wrong length")
    try:
        values = unpack(payload, levels=1)
    except FieldError as error:
        raise CheckpointError("?", str(error)) from error
    match values:
        case [
            int(version),
            bytes(game),
            int(size),
            bytes(root),
            int(time_ms),
            bytes(signer),
            str(software),
        ] if (
            _is_whole(version, CHECKPOINT_VERSION, CHECKPOINT_VERSION)
            and len(software) <= MOST_PROGRAM
            and _is_whole(size, 0, MOST_ENTRIES)
            and _is_whole(time_ms, 0, LATEST_MS)
            and len(game) == len(root) == len(signer) == 32
        ):
            return Checkpoint(
                game,
                TreeHead(size, root),
                time_ms,
                DeviceId(signer),
                software,
                payload,
                signature,
            )
        case _:
            raise CheckpointError("?", "its fields are not those of version 2")


def _is_whole(value: int, low: int, high: int) -> bool:
    # A bool is an int to Python, and True is no number of entries.
    return not isinstance(value, bool) and low <= value <= high


def verify_checkpoint(checkpoint: Checkpoint) -> None:
    """Checks the signer's signature.

    Raises:
        CheckpointError: it is not the signer's.
    """
    payload, signature = checkpoint.payload, checkpoint.signature
    if not has_signed(checkpoint.signer, _DOMAIN, payload, signature):
        raise CheckpointError(str(checkpoint), "its signature is not valid")


def countersign(
    key: DeviceKey, checkpoint: Checkpoint, statement: bytes
) -> Countersignature:
    """Signs a checkpoint that somebody else has signed; `Witness` says when to."""
    data = _countersigned(checkpoint, statement)
    return Countersignature(key.device, key.sign_as(_COUNTER_DOMAIN, data), statement)


def verify_countersignature(checkpoint: Checkpoint, counter: Countersignature) -> None:
    """Checks a device's countersignature of a checkpoint.

    Raises:
        CheckpointError: it is not that device's of this checkpoint, or states nothing.
    """
    data = _countersigned(checkpoint, counter.statement)
    if not has_signed(counter.device, _COUNTER_DOMAIN, data, counter.signature):
        device = counter.device.hex()[:8]
        raise CheckpointError(
            str(checkpoint), f"the countersignature of {device} is not valid"
        )
    try:
        read_statement(counter.statement)
    except FieldError as error:
        raise CheckpointError(str(checkpoint), str(error)) from error


def _countersigned(checkpoint: Checkpoint, statement: bytes) -> bytes:
    return checkpoint.payload + checkpoint.signature + statement


def contradict(one: Checkpoint, other: Checkpoint) -> bool:
    """Whether two checkpoints prove that their signer has told two histories."""
    is_same_list = (one.signer, one.game) == (other.signer, other.game)
    is_same_size = one.head.size == other.head.size
    return is_same_list and is_same_size and one.head.root != other.head.root


class Witness:
    """What one device has been told of a relay's list of entries."""

    def __init__(self, game: bytes, relay: DeviceId) -> None:
        self._game = game
        self.relay = relay
        """Whose list it is."""
        self._listed: list[bytes] = []

    @property
    def seen(self) -> int:
        """How many entries of the list have been seen in checkpoints."""
        return len(self._listed)

    def see(
        self,
        checkpoint: Checkpoint,
        since: int,
        listed: Sequence[bytes],
        held: Container[bytes],
    ) -> None:
        """Looks whether a checkpoint says no more than what can be seen here.

        If so, the device may `countersign` it.

        Args:
            checkpoint: one of the relay's.
            since: after how many of the relay's list `listed` goes on.
            listed: digests of the relay's list up to the size of the checkpoint.
            held: the digests of all entries that this device holds.

        Raises:
            CheckpointError: it is not this relay's of this game, names what is not
                held or is listed already, tells another list than before, or does not
                follow from the list.
        """
        if (checkpoint.signer, checkpoint.game) != (self.relay, self._game):
            raise CheckpointError(str(checkpoint), "is of another relay or game")
        verify_checkpoint(checkpoint)
        known = self._listed[since : since + len(listed)]
        if since > self.seen or list(listed[: len(known)]) != known:
            raise CheckpointError(
                str(checkpoint), "tells another list than the checkpoints before"
            )
        added = listed[len(known) :]
        leaves = [*self._listed[: since + len(known)], *added]
        if len(set(leaves)) != len(leaves):
            raise CheckpointError(str(checkpoint), "lists an entry twice")
        lacking = sum(digest not in held for digest in added)
        if lacking:
            raise CheckpointError(
                str(checkpoint), f"lists {lacking} entries that are not held here"
            )
        if MerkleTree(leaves).head() != checkpoint.head:
            raise CheckpointError(
                str(checkpoint), "its root is not that of the entries listed"
            )
        if len(leaves) > self.seen:
            self._listed = leaves
