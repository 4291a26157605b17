"""Frames: their exact bytes, and everything that is no frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

import msgpack
import pytest

from tablesync.core.acts import Seat
from tablesync.core.history import Head
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import MalformedFrameError, UnsupportedVersionError
from tablesync.sync.codec import MOST_BYTES, Kind, decode, encode, pages
from tablesync.sync.messages import (
    Asking,
    Beat,
    BeatBack,
    Bye,
    Countersign,
    Durable,
    Entries,
    Have,
    Hello,
    Message,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Signed,
    Version,
    Welcome,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

ONE = DeviceId(b"1" * 32)
GAME = b"g" * 32
DIGEST = b"d" * 32
HEADS = {ONE: (Head(3, DIGEST),)}
PLAIN_HEADS = [[ONE, [[3, DIGEST]]]]

# What goes over the wire, value by value: an old frame must stay readable, so a change
# here is a new version of the protocol.
FRAMES: list[tuple[Message, list[object]]] = [
    (
        Hello(Version(1, 0), GAME, ONE, Seat.BOOK, HEADS),
        [1, [1, 0], GAME, ONE, "book", PLAIN_HEADS],
    ),
    (Hello(Version(1, 0), GAME, ONE, None, {}), [1, [1, 0], GAME, ONE, None, []]),
    (
        Welcome(Version(1, 0), HEADS, (Head(2, DIGEST),), 77),
        [2, [1, 0], PLAIN_HEADS, [[2, DIGEST]], 77],
    ),
    (SheetRequest(), [3]),
    (SheetFrame(b"sheet"), [4, b"sheet"]),
    (Entries((Sealed(b"payload", b"signature"),)), [5, [[b"payload", b"signature"]]]),
    (Have(HEADS), [6, PLAIN_HEADS]),
    (Durable(HEADS), [7, PLAIN_HEADS]),
    (Beat(5_000, 12, 4_000), [8, 5_000, 12, 4_000]),
    (BeatBack(1, 2, 3, 4), [9, 1, 2, 3, 4]),
    (
        Presence(ONE, Seat.CLOCK, is_linked=True, number=12, heard_ms=5_000),
        [10, ONE, "clock", True, 12, 5_000],
    ),
    (Asking(ONE, Seat.BOOK), [20, ONE, "book"]),
    (Refusal("malformed", "it is no message"), [11, "malformed", "it is no message"]),
    (Bye(), [12]),
    (Signed(b"p", b"s", 4, (DIGEST,)), [30, b"p", b"s", 4, [DIGEST]]),
    (Countersign(5, b"s", b"t"), [31, 5, b"s", b"t"]),
]


def packed(value: object) -> bytes:
    frame: bytes = msgpack.packb(value)
    return frame


@pytest.mark.parametrize(
    ("message", "plain"), FRAMES, ids=[type(message).__name__ for message, _ in FRAMES]
)
def test_frame_is_exactly_these_bytes(message: Message, plain: list[object]) -> None:
    assert encode(message) == packed(plain)
    assert decode(packed(plain)) == message


def test_every_kind_has_its_frame_here() -> None:
    assert {plain[0] for _, plain in FRAMES} == set(Kind)


def test_kinds_keep_their_numbers() -> None:
    assert [kind.value for kind in Kind] == [*range(1, 13), 20, 30, 31]


BEAT = [8, 5_000, 12, 4_000]
PRESENCE = [10, ONE, "clock", True, 12, 5_000]
HELLO = [1, [1, 0], GAME, ONE, "book", PLAIN_HEADS]


def with_item(items: Sequence[object], place: int, value: object) -> bytes:
    """The frame with one item put in place of another."""
    return packed([*items[:place], value, *items[place + 1 :]])


MALFORMED: dict[str, bytes | str] = {
    "nothing": b"",
    "text": "a text frame",
    "too long": packed([5, [[bytes(MOST_BYTES), b""]]]),
    "no msgpack": b"\xc1",
    "cut short": packed(BEAT)[:-1],
    "trailing bytes": packed(BEAT) + b"\x00",
    "two frames in one": packed(BEAT) * 2,
    "claims four billion items": b"\xdd\xff\xff\xff\xff",
    "nested two thousand deep": b"\x91" * 2_000,
    "nested six deep": packed([[[[[[]]]]]]),
    "a number": packed(8),
    "a map": packed({"kind": 8}),
    "a map inside": packed([5, {}]),
    "an empty array": packed([]),
    "unknown kind": packed([13]),
    "kind is text": packed(["8", 5_000, 12, 4_000]),
    "kind is true": packed([True, *HELLO[1:]]),
    "kind is below 0": packed([-1]),
    "kind is a list": packed([[], 1]),
    "one item too few": packed(BEAT[:-1]),
    "one item too many": packed([*BEAT, 0]),
    "nothing but a kind": packed([8]),
    "items where none belong": packed([12, 0]),
    "time is text": with_item(BEAT, 1, "5000"),
    "time is a float": with_item(BEAT, 1, 5_000.0),
    "time is not a number": with_item(BEAT, 1, float("nan")),
    "time is true": packed([8, True, 12, 4_000]),
    "time is null": with_item(BEAT, 1, None),
    "time below 0": with_item(BEAT, 1, -1),
    "time beyond all times": with_item(BEAT, 1, 2**53 + 1),
    "number beyond all numbers": with_item(BEAT, 2, 2**31 + 1),
    "link is a number": with_item(PRESENCE, 3, 1),
    "device too short": with_item(PRESENCE, 1, b"1" * 31),
    "device is text": with_item(PRESENCE, 1, "1" * 32),
    "unknown seat": with_item(PRESENCE, 2, "umpire"),
    "seat is a number": with_item(PRESENCE, 2, 1),
    "seat is null where one sits": with_item(PRESENCE, 2, None),
    "version is text": with_item(HELLO, 1, "1.0"),
    "version is one number": with_item(HELLO, 1, 1),
    "version of three parts": with_item(HELLO, 1, [1, 0, 0]),
    "version below 0": with_item(HELLO, 1, [-1, 0]),
    "hello without a version": packed([1]),
    "game too long": with_item(HELLO, 2, b"g" * 33),
    "heads are bytes": with_item(HELLO, 5, b""),
    "head of a device twice": with_item(HELLO, 5, PLAIN_HEADS * 2),
    "device without a head": with_item(HELLO, 5, [[ONE, []]]),
    "head without a digest": with_item(HELLO, 5, [[ONE, [[3]]]]),
    "digest too short": with_item(HELLO, 5, [[ONE, [[3, b"d"]]]]),
    "entries is bytes": packed([5, b"entries"]),
    "entry is bytes": packed([5, [b"entry"]]),
    "entry of three": packed([5, [[b"payload", b"signature", b"more"]]]),
    "payload is text": packed([5, [["payload", b"signature"]]]),
    "signature is null": packed([5, [[b"payload", None]]]),
    "sheet is text": packed([4, "sheet"]),
    "code too long": packed([11, "c" * 33, "sentence"]),
    "sentence too long": packed([11, "code", "s" * 401]),
    "sentence is bytes": packed([11, "code", b"sentence"]),
    "bad UTF-8": b"\x93\x0b\xa4code\xa1\xff",
    "a date": packed([8, msgpack.Timestamp(5), 12, 4_000]),
    "an extension": packed([8, msgpack.ExtType(5, b"x"), 12, 4_000]),
}


@pytest.mark.parametrize("frame", MALFORMED.values(), ids=MALFORMED.keys())
def test_no_frame_is_refused(frame: bytes | str) -> None:
    with pytest.raises(MalformedFrameError) as refused:
        decode(frame)
    assert str(refused.value).startswith("the frame ")
    assert "expected" in str(refused.value)


def test_sentence_names_what_is_wrong() -> None:
    with pytest.raises(MalformedFrameError) as refused:
        decode(with_item(PRESENCE, 2, "umpire"))
    assert str(refused.value) == (
        "the frame can't be read: its seat is not known; expected book, clock, visiting"
    )


@pytest.mark.parametrize("rest", [HELLO[2:], [], ["a shape of the future", []]])
def test_another_major_version_is_told_apart_whatever_its_shape(
    rest: list[object],
) -> None:
    with pytest.raises(UnsupportedVersionError) as refused:
        decode(packed([1, [2, 3], *rest]))
    assert str(refused.value) == (
        "version 2.3 of the protocol is not spoken here; expected 1.x"
    )


def test_later_minor_version_is_understood() -> None:
    hello = decode(with_item(HELLO, 1, [1, 9]))
    assert isinstance(hello, Hello)
    assert hello.version == Version(1, 9)


def sealed(size: int) -> Sealed:
    return Sealed(bytes(size), bytes(64))


def test_entries_share_a_frame_up_to_its_limit() -> None:
    entries = [sealed(200)] * 1_000
    messages = list(pages(entries))
    assert [one for page in messages for one in page.entries] == entries
    frames = [encode(page) for page in messages]
    assert len(frames) == 5
    assert all(len(frame) <= MOST_BYTES for frame in frames)
    assert all(len(frame) > MOST_BYTES - 600 for frame in frames[:-1])


@pytest.mark.parametrize("size", [10, 31, 32, 255, 256, 16 * 1024])
def test_pages_of_any_entry_size_fit_into_frames(size: int) -> None:
    for page in pages([sealed(size)] * (2 * MOST_BYTES // size)):
        assert len(encode(page)) <= MOST_BYTES


def test_no_entries_make_no_page() -> None:
    assert list(pages([])) == []
