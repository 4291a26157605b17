"""Makes wrong input of right: seeded, so that a number says what came of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgpack

if TYPE_CHECKING:
    from collections.abc import Sequence
    from random import Random

__all__ = ["mutated", "mutated_frame"]

NASTY = (
    b"",
    b"\x00",
    b"\xff",
    b"\xef\xbb\xbf",
    b"\xc3\x28",
    b"\r\n",
    b'"',
    b"[[",
    b"NaN",
    b"1e999",
    b"-0",
    b"99999999999999999999999",
    b"\\ud800",
    b"\xe2\x80\xae",
    b"{}",
    b"null",
    b"true",
)
"""What readers of text and of bytes have been known to stumble over."""
ODD_VALUES: tuple[object, ...] = (
    None,
    True,
    -1,
    0,
    2**31,
    2**53 + 1,
    2**64 - 1,
    float("nan"),
    float("inf"),
    "",
    "\u202e",
    b"",
    bytes(32),
    [],
    {},
    [[[[[[[[]]]]]]]],
)


def mutated(random: Random, seeds: Sequence[bytes]) -> bytes:
    """One of the seeds with one to four places changed."""
    data = bytearray(random.choice(seeds))
    for _ in range(random.randint(1, 4)):
        _change(random, data, seeds)
    return bytes(data)


def _change(random: Random, data: bytearray, seeds: Sequence[bytes]) -> None:
    at = random.randint(0, len(data))
    to = min(len(data), at + random.randint(0, 16))
    match random.randrange(7):
        case 0 if data:
            data[min(at, len(data) - 1)] ^= 1 << random.randrange(8)
        case 1:
            del data[at:]
        case 2:
            del data[at:to]
        case 3:
            data[at:to] = random.choice(NASTY)
        case 4:
            data[at:at] = data[at:to] * random.randint(1, 40)
        case 5:
            other = random.choice(seeds)
            start = random.randint(0, len(other))
            data[at:to] = other[start : start + random.randint(0, 60)]
        case _:
            data[at:at] = random.randbytes(random.randint(1, 8))


def mutated_frame(random: Random, seeds: Sequence[bytes]) -> bytes:
    """A frame with changed bytes, or one whose values are changed and packed again."""
    if random.random() < 0.4:
        return mutated(random, seeds)
    value = msgpack.unpackb(random.choice(seeds), strict_map_key=False)
    frame: bytes = msgpack.packb(_replaced(random, value, levels=6))
    return frame


def _replaced(random: Random, value: object, levels: int) -> object:
    """The value, or something odd in the place of a part of it."""
    if random.random() < 0.2 or levels == 0:
        return random.choice(ODD_VALUES)
    match value:
        case list() if value:
            place = random.randrange(len(value))
            changed = _replaced(random, value[place], levels - 1)
            return [*value[:place], changed, *value[place + 1 :]]
        case bytes() if value:
            data = bytearray(value)
            data[random.randrange(len(data))] ^= 1 << random.randrange(8)
            return bytes(data)
        case int():
            return value + random.choice((-1, 1, 2**32))
        case str():
            return value + random.choice(("", "\0", "x" * 70_000))
        case _:
            return random.choice(ODD_VALUES)
