"""Frames of an admission: their exact bytes, and everything that is none."""

from __future__ import annotations

import msgpack
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tablesync.admission.frames import (
    MOST_BYTES,
    Answer,
    Challenge,
    Confirm,
    Frame,
    Granted,
    Greeting,
    Guess,
    Handed,
    decode_frame,
    encode_frame,
)
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import MalformedFrameError

B32, B33, B64 = b"b" * 32, b"A" + b"p" * 32, b"s" * 64
DEVICE = DeviceId(b"d" * 32)
FRAMES: list[tuple[Frame, list[object]]] = [
    (Challenge(B32), [32, B32]),
    (
        Greeting(B32, DEVICE, Seat.BOOK, B32, B64),
        [33, B32, DEVICE, "book", B32, B64],
    ),
    (Greeting(B32, DEVICE, None, b"", B64), [33, B32, DEVICE, None, b"", B64]),
    (Granted(b"grant", B64), [34, b"grant", B64]),
    (Guess(3, B33), [35, 3, B33]),
    (Answer(B33), [36, B33]),
    (Confirm(B32), [37, B32]),
    (
        Handed(B32, Seat.CLOCK, b"s" * 16, B32),
        [38, B32, "clock", b"s" * 16, B32],
    ),
]


@pytest.mark.parametrize(
    ("frame", "plain"), FRAMES, ids=lambda part: type(part).__name__
)
def test_frame_is_exactly_these_bytes(frame: Frame, plain: list[object]) -> None:
    assert encode_frame(frame) == msgpack.packb(plain)
    assert decode_frame(msgpack.packb(plain)) == frame


WRONG: tuple[object, ...] = (True, -1, 1.5, "x", b"x" * 513, [b"b" * 32], {})


def spoilt() -> list[bytes | str]:
    """Each frame with each of its items wrong, missing or one too many."""
    found: list[bytes | str] = [
        "text",
        b"",
        b"\xc1",
        b"\x91" * 900,
        bytes(MOST_BYTES + 1),
    ]
    for _, plain in FRAMES:
        found += [msgpack.packb(plain[:-1]), msgpack.packb([*plain, 0])]
        found.append(msgpack.packb(plain) + b"\x00")
        for place in range(len(plain)):
            for wrong in WRONG:
                items: list[object] = [*plain]
                items[place] = wrong
                found.append(msgpack.packb(items))
    return found


@pytest.mark.parametrize("data", spoilt(), ids=lambda data: ascii(data)[:24])
def test_anything_else_is_no_frame(data: bytes | str) -> None:
    with pytest.raises(MalformedFrameError):
        decode_frame(data)


@given(st.binary(max_size=200))
def test_bytes_of_a_stranger_are_a_frame_or_are_refused(data: bytes) -> None:
    try:
        frame = decode_frame(data)
    except MalformedFrameError:
        return
    assert decode_frame(encode_frame(frame)) == frame
