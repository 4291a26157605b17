"""An act on record: who entered it, when, knowing what, after which entry."""

from __future__ import annotations

from dataclasses import field
from hashlib import sha256
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Act, Seat
    from tablesync.core.vector_clock import VectorClock

__all__ = ["Entry", "EntryId", "digest_of"]


def digest_of(payload: bytes, signature: bytes) -> bytes:
    """SHA-256 over the exact signed bytes and the signature, 32 bytes.

    The next entry of the device links to it, so a chain covers its signatures too.
    """
    return sha256(payload + signature).digest()


@dataclass(frozen=True, slots=True)
class Entry:
    """One act as one device put it on record.

    `seal.Pen` writes them and `seal.unseal` reads them; the fields say what `payload`
    holds and are never changed apart from it.
    """

    id: EntryId
    seat: Seat
    seen: VectorClock
    """What the device held of the other devices when it wrote this."""
    table_time_ms: int
    """When the finger came down, milliseconds on the table's common time scale."""
    act: Act
    link: bytes = field(repr=False)
    """Digest of the device's entry before this; of the first: the game's id."""
    payload: bytes = field(repr=False)
    """The exact bytes that were signed."""
    signature: bytes = field(repr=False)
    digest: bytes = field(repr=False)
    """`digest_of(payload, signature)`: the identity of this very entry."""

    @property
    def clock(self) -> VectorClock:
        """The entry's vector clock: what it had seen, and itself."""
        return self.seen.raised({self.id.device: self.id.number})

    def knew(self, other: Entry) -> bool:
        """Whether whoever wrote this entry knew of the other one, by their numbers."""
        if other.id.device == self.id.device:
            return other.id.number < self.id.number
        return other.id.number <= self.seen[other.id.device]

    def is_concurrent_with(self, other: Entry) -> bool:
        """Whether neither was known where the other was written."""
        is_same = self.digest == other.digest
        return not is_same and not self.knew(other) and not other.knew(self)
