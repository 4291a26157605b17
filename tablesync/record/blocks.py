"""A file of blocks in which every byte is covered by a hash.

::

    "tablesync record 2" and a line feed
    then blocks, each:
        kind        1 byte
        length      4 bytes, most significant first
        content     so many bytes
        seal        32 bytes: SHA-256 over the seal before, kind, length and content
    the last block is of kind "." and empty, and nothing follows it

The seal before the first block is the SHA-256 of the first line. So every seal covers
the whole file before it, the last one covers all of it, and a block that was changed,
moved, left out or added shows where it stands. The seals are no signature: whoever
makes the file anew makes them anew.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING

from tablesync.errors import TableSyncError
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "END",
    "Block",
    "DamagedBlockError",
    "fingerprint",
    "read_blocks",
    "write_blocks",
]

FIRST_LINE = b"tablesync record 2\n"
END = b"."
LENGTH_BYTES = 4
SEAL_BYTES = 32
MOST_BYTES = 64 * 1024
"""No block's content is larger: a game sheet fits."""


@dataclass(frozen=True, slots=True)
class Block:
    """One block, without its seal."""

    kind: bytes
    content: bytes


class DamagedBlockError(TableSyncError):
    """A file can't be read beyond some block."""

    def __init__(self, what: str, sound: tuple[Block, ...], damaged: Block) -> None:
        super().__init__(what, sound, damaged)
        self.what = what
        self.sound = sound
        """The blocks before it."""
        self.damaged = damaged
        """What can be made out of it; it has been changed or is not all there."""

    def __str__(self) -> str:
        return f"block {len(self.sound) + 1} {self.what}"


def write_blocks(blocks: Iterable[Block]) -> bytes:
    """The blocks as a file."""
    parts = [FIRST_LINE]
    seal = sha256(FIRST_LINE).digest()
    for block in (*blocks, Block(END, b"")):
        assert len(block.content) <= MOST_BYTES
        length = len(block.content).to_bytes(LENGTH_BYTES, "big")
        seal = sha256(seal + block.kind + length + block.content).digest()
        parts += [block.kind, length, block.content, seal]
    return b"".join(parts)


def read_blocks(data: bytes) -> tuple[Block, ...]:
    """The blocks of a file, without the last one.

    Raises:
        DamagedBlockError: some byte is not as it was written, or is missing, or there
            is one too many.
    """
    if not data.startswith(FIRST_LINE):
        raise DamagedBlockError(
            f"does not follow the first line {FIRST_LINE.decode().strip()!r}",
            (),
            Block(b"", b""),
        )
    blocks: list[Block] = []
    seal = sha256(FIRST_LINE).digest()
    at = len(FIRST_LINE)
    while True:
        start = at + 1 + LENGTH_BYTES
        kind = data[at : at + 1]
        stop = start + int.from_bytes(data[at + 1 : start], "big")
        block = Block(kind, data[start : min(stop, start + MOST_BYTES)])
        at = stop + SEAL_BYTES
        if stop > start + MOST_BYTES:
            raise DamagedBlockError("is too long", tuple(blocks), block)
        if at > len(data):
            raise DamagedBlockError("is not all there", tuple(blocks), block)
        seal = sha256(seal + data[start - 1 - LENGTH_BYTES : stop]).digest()
        if data[stop:at] != seal:
            raise DamagedBlockError("is not as it was written", tuple(blocks), block)
        if kind == END:
            break
        blocks.append(block)
    if block.content:
        raise DamagedBlockError("ends the file but is not empty", tuple(blocks), block)
    if at != len(data):
        what = f"is the last, but {len(data) - at} bytes follow"
        raise DamagedBlockError(what, tuple(blocks), block)
    return tuple(blocks)


def fingerprint(data: bytes) -> str:
    """The last seal of a file that could be read: 64 hex digits that stand for it."""
    return data[-SEAL_BYTES:].hex()
