"""Messages as frames and back.

A frame is one msgpack array of at most 64 KiB, `[kind, field, field, …]`, with the
fields in the order of the message's class; heads are `[[device, [[number, digest], …]],
…]`. The version stands first in the two frames that have one, so that any later version
can at least be told apart. Nothing about a frame from outside is trusted.
"""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

import msgpack

from tablesync.core.acts import Seat
from tablesync.core.history import Head
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import (
    FieldError,
    MalformedFrameError,
    UnsupportedVersionError,
)
from tablesync.strict_msgpack import sized, unpack_unseen
from tablesync.sync.frame_fields import bounded_text, time_ms, whole
from tablesync.sync.messages import (
    MOST_SENTENCE,
    PROTOCOL,
    Asking,
    Beat,
    BeatBack,
    Bye,
    Countersign,
    Durable,
    Entries,
    Have,
    Heads,
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
    from collections.abc import Iterable, Iterator

    from tablesync.core.entries import Entry

__all__ = [
    "MOST_BYTES",
    "ROOM_FOR_ENTRIES",
    "Kind",
    "decode",
    "encode",
    "page_size",
    "pages",
]

MOST_BYTES = 64 * 1024
"""No frame is larger."""
LAST_NUMBER = 2**31
MOST_CODE = 32
ROOM_FOR_ENTRIES = MOST_BYTES - 16
"""Bytes of entries on one page: less the frame's own array and kind."""
AROUND_ENTRY = 1 + 3 + 2
"""The pair, the payload's length and the signature's, in msgpack."""


class Kind(IntEnum):
    """The first item of a frame. A number is never used again for something else."""

    HELLO = 1
    WELCOME = 2
    SHEET_REQUEST = 3
    SHEET = 4
    ENTRIES = 5
    HAVE = 6
    DURABLE = 7
    BEAT = 8
    BEAT_BACK = 9
    PRESENCE = 10
    REFUSAL = 11
    BYE = 12
    ASKING = 20
    SIGNED = 30
    COUNTERSIGN = 31


def pages(entries: Iterable[Sealed]) -> Iterator[Entries]:
    """The entries in as few messages as fit into frames, in the order given."""
    page: list[Sealed] = []
    room = ROOM_FOR_ENTRIES
    for sealed in entries:
        size = _size(sealed)
        if size > room:
            yield Entries(tuple(page))
            page, room = [], ROOM_FOR_ENTRIES
        page.append(sealed)
        room -= size
    if page:
        yield Entries(tuple(page))


def page_size(entries: Iterable[Entry]) -> int:
    """How much of a page's room these entries take."""
    return sum(map(_size, entries))


def _size(sealed: Sealed | Entry) -> int:
    return len(sealed.payload) + len(sealed.signature) + AROUND_ENTRY


def encode(message: Message) -> bytes:
    """The frame that says this."""
    frame: bytes = msgpack.packb(_plain(message))
    assert len(frame) <= MOST_BYTES
    return frame


def _plain(message: Message) -> list[object]:
    match message:
        case Entries(entries):
            return [Kind.ENTRIES, entries]
        case Durable(heads):
            return [Kind.DURABLE, _plain_heads(heads)]
        case Beat(heard_ms, number, t1_ms):
            return [Kind.BEAT, heard_ms, number, t1_ms]
        case BeatBack(t1_ms, t2_ms, t3_ms, held):
            return [Kind.BEAT_BACK, t1_ms, t2_ms, t3_ms, held]
        case Presence(device, seat, is_linked, number, heard_ms):
            return [Kind.PRESENCE, device, seat, is_linked, number, heard_ms]
        case Have(heads):
            return [Kind.HAVE, _plain_heads(heads)]
        case Hello(version, game, device, watching_seat, heads):
            plain = (game, device, watching_seat, _plain_heads(heads))
            return [Kind.HELLO, (version.major, version.minor), *plain]
        case Welcome(version, heads, durable, relay_ms):
            plain_durable = [(head.number, head.digest) for head in durable]
            welcome = (_plain_heads(heads), plain_durable, relay_ms)
            return [Kind.WELCOME, (version.major, version.minor), *welcome]
        case SheetRequest():
            return [Kind.SHEET_REQUEST]
        case SheetFrame(sheet):
            return [Kind.SHEET, sheet]
        case Asking(device, seat):
            return [Kind.ASKING, device, seat]
        case Signed(payload, signature, since, digests):
            return [Kind.SIGNED, payload, signature, since, digests]
        case Countersign(size, signature, statement):
            return [Kind.COUNTERSIGN, size, signature, statement]
        case Refusal(code, sentence):
            return [Kind.REFUSAL, code, sentence]
        case Bye():
            return [Kind.BYE]


def _plain_heads(heads: Heads) -> list[object]:
    return [
        (device, [(head.number, head.digest) for head in newest])
        for device, newest in heads.items()
    ]


def decode(frame: bytes | str) -> Message:
    """What a frame says.

    Raises:
        MalformedFrameError: it is no frame: too large, no msgpack, or not what any
            message looks like.
        UnsupportedVersionError: it introduces somebody who speaks another version.
    """
    if isinstance(frame, str):
        raise MalformedFrameError("the frame is text; expected bytes")
    if len(frame) > MOST_BYTES:
        raise MalformedFrameError(
            f"the frame has {len(frame)} bytes; expected at most {MOST_BYTES}"
        )
    try:
        return _message(unpack_unseen(frame))
    except FieldError as error:
        raise MalformedFrameError(f"the frame can't be read: {error}") from error


def _message(value: object) -> Message:
    items = _array(value, "message")
    if not items:
        raise FieldError("it is an empty array", "a kind and its fields")
    fields = items[1:]
    match _count(items[0]):
        case Kind.ENTRIES:
            (entries,) = _exactly(1, fields)
            return Entries(tuple(map(_sealed, _array(entries, "list of entries"))))
        case Kind.BEAT:
            heard_ms, number, t1_ms = _exactly(3, fields)
            return Beat(time_ms(heard_ms), _count(number), time_ms(t1_ms))
        case Kind.BEAT_BACK:
            t1_ms, t2_ms, t3_ms, held = _exactly(4, fields)
            return BeatBack(
                time_ms(t1_ms), time_ms(t2_ms), time_ms(t3_ms), _count(held)
            )
        case Kind.PRESENCE:
            return _presence(fields)
        case Kind.DURABLE:
            (heads,) = _exactly(1, fields)
            return Durable(_heads(heads))
        case Kind.HAVE:
            (heads,) = _exactly(1, fields)
            return Have(_heads(heads))
        case Kind.HELLO:
            return _hello(fields)
        case Kind.WELCOME:
            return _welcome(fields)
        case Kind.SHEET_REQUEST:
            _exactly(0, fields)
            return SheetRequest()
        case Kind.SHEET:
            (sheet,) = _exactly(1, fields)
            return SheetFrame(_bytes(sheet, "sheet"))
        case Kind.ASKING:
            device, seat = _exactly(2, fields)
            return Asking(DeviceId(sized(device, 32, "device")), _seat(seat))
        case Kind.SIGNED:
            payload, signature, since, digests = _exactly(4, fields)
            listed = (sized(one, 32, "digest") for one in _array(digests, "digests"))
            checkpoint = (_bytes(payload, "payload"), _bytes(signature, "signature"))
            return Signed(*checkpoint, _count(since), tuple(listed))
        case Kind.COUNTERSIGN:
            size, signature, statement = _exactly(3, fields)
            signed = (_bytes(signature, "signature"), _bytes(statement, "statement"))
            return Countersign(_count(size), *signed)
        case Kind.REFUSAL:
            code, sentence = _exactly(2, fields)
            return Refusal(
                bounded_text(code, MOST_CODE), bounded_text(sentence, MOST_SENTENCE)
            )
        case Kind.BYE:
            _exactly(0, fields)
            return Bye()
        case _:
            raise FieldError("its kind is not known", f"a number up to {max(Kind)}")


def _hello(fields: list[object]) -> Hello:
    version = _version(fields)
    _, game, device, seat, heads = _exactly(5, fields)
    return Hello(
        version,
        sized(game, 32, "game"),
        DeviceId(sized(device, 32, "device")),
        None if seat is None else _seat(seat),
        _heads(heads),
    )


def _welcome(fields: list[object]) -> Welcome:
    version = _version(fields)
    _, heads, durable, relay_ms = _exactly(4, fields)
    newest = tuple(map(_head, _array(durable, "list of heads")))
    return Welcome(version, _heads(heads), newest, time_ms(relay_ms))


def _version(fields: list[object]) -> Version:
    """Read before the rest, which may have another shape in another version."""
    major, minor = _exactly(2, _array(fields[0] if fields else None, "version"))
    version = Version(_count(major), _count(minor))
    if version.major != PROTOCOL.major:
        raise UnsupportedVersionError(
            f"version {version} of the protocol is not spoken here; "
            f"expected {PROTOCOL.major}.x"
        )
    return version


def _presence(fields: list[object]) -> Presence:
    device, seat, is_linked, number, heard_ms = _exactly(5, fields)
    if not isinstance(is_linked, bool):
        raise FieldError("its link is neither up nor down", "true or false")
    return Presence(
        DeviceId(sized(device, 32, "device")),
        _seat(seat),
        is_linked,
        _count(number),
        time_ms(heard_ms),
    )


def _heads(value: object) -> Heads:
    heads: dict[DeviceId, tuple[Head, ...]] = {}
    for item in _array(value, "list of heads"):
        device, newest = _exactly(2, _array(item, "device with its heads"))
        name = DeviceId(sized(device, 32, "device"))
        if name in heads:
            raise FieldError("its heads name a device twice", "each device once")
        heads[name] = tuple(map(_head, _array(newest, "list of heads")))
        if not heads[name]:
            raise FieldError("a device has no head", "at least one head a device")
    return heads


def _head(value: object) -> Head:
    number, digest = _exactly(2, _array(value, "head"))
    return Head(_count(number), sized(digest, 32, "digest"))


def _sealed(value: object) -> Sealed:
    payload, signature = _exactly(2, _array(value, "entry"))
    return Sealed(_bytes(payload, "payload"), _bytes(signature, "signature"))


def _array(value: object, name: str) -> list[object]:
    if type(value) is not list:
        raise FieldError(f"its {name} is no array", f"a {name}")
    return value


def _exactly(size: int, items: list[object]) -> list[object]:
    if len(items) != size:
        raise FieldError(f"it has {len(items)} items in a place", f"{size} there")
    return items


def _bytes(value: object, name: str) -> bytes:
    if type(value) is not bytes:
        raise FieldError(f"its {name} is no bytes", "bytes")
    return value


def _seat(value: object) -> Seat:
    # Only a text can name a seat, and only a text is sure to be comparable to one.
    if not isinstance(value, str) or value not in _SEATS:
        raise FieldError("its seat is not known", ", ".join(Seat))
    return _SEATS[value]


def _count(value: object) -> int:
    return whole(value, LAST_NUMBER)


_SEATS = {str(seat): seat for seat in Seat}
