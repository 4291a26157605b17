"""Messages about courts as frames and back, in the form of `sync.codec`.

`[WATCH, [major, minor]]`, `[NEWS, number, relay_ms, more, [item, …]]`, `[SEEN,
number]`, `[CONFIRMATION, game, device, seat, signature]`. An item is `[game, tag,
field, …]` with the fields of the part in the order of its class, pairs and lists laid
out flat or as arrays. The kinds go on from those of `sync.codec`.
"""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

import msgpack

from tablesync.core.act_forms import read_act, write_act
from tablesync.core.acts import Seat, Side
from tablesync.core.findings import Cause
from tablesync.core.summary import (
    MOST_FINDINGS,
    MOST_NEWCOMERS,
    MOST_TEXT,
    Asked,
    Findings,
    FoundIn,
    Linked,
    Meant,
    Named,
    Newcomer,
    OpenFinding,
    Part,
    Played,
    Tallied,
    Waiting,
    Written,
)
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import FieldError, MalformedFrameError, UnsupportedVersionError
from tablesync.strict_msgpack import sized, unpack
from tablesync.sync.codec import MOST_BYTES
from tablesync.sync.courts.messages import (
    Confirmation,
    CourtMessage,
    Gone,
    Item,
    News,
    PartOf,
    Seen,
    Watch,
)
from tablesync.sync.frame_fields import bounded_text, time_ms, whole
from tablesync.sync.messages import PROTOCOL, Asking, Version

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.acts import Act

__all__ = [
    "ROOM_FOR_ITEMS",
    "decode_courts",
    "encode_courts",
    "encode_news",
    "is_watch",
    "read_item",
    "write_item",
]

ROOM_FOR_ITEMS = MOST_BYTES - 32
"""Less the frame's own array, kind, number and time."""
MOST = 2**31
DEEPEST = 8
"""The frame, its items, one, its findings, one, a correction, the act in it, a list."""
FINDING_ID = 12


class CourtKind(IntEnum):
    """The first item of a frame; see `sync.codec.Kind`."""

    WATCH = 64
    NEWS = 65
    SEEN = 66
    CONFIRMATION = 67


class Tag(IntEnum):
    """Which part of a court an item is about. None equals a boolean."""

    GONE = 10
    NAMED = 11
    TALLIED = 12
    PLAYED = 13
    FINDINGS = 14
    WAITING = 15
    LINKED = 16
    WRITTEN = 17
    ASKED = 18
    MEANT = 19
    """Told to who speaks 1.4 at least."""


def is_watch(frame: bytes | str) -> bool:
    """Whether a connection's first frame asks to follow the courts."""
    return isinstance(frame, bytes) and frame[1:2] == bytes([CourtKind.WATCH])


def encode_courts(message: CourtMessage) -> bytes:
    """The frame that says this."""
    if isinstance(message, News):
        items = [write_item(item) for item in message.items]
        return encode_news(message.number, message.relay_ms, message.more, items)
    frame: bytes = msgpack.packb(_fields(message))
    return frame


def encode_news(number: int, relay_ms: int, more: int, items: Sequence[bytes]) -> bytes:
    """The frame of `News` whose items are bytes already; they have to fit into it."""
    head = (CourtKind.NEWS, number, relay_ms, more)
    packer = msgpack.Packer()
    frame = b"".join(
        (
            packer.pack_array_header(len(head) + 1),
            *map(packer.pack, head),
            packer.pack_array_header(len(items)),
            *items,
        )
    )
    assert len(frame) <= MOST_BYTES
    return frame


def _fields(message: Watch | Seen | Confirmation) -> list[object]:
    match message:
        case Watch(version):
            return [CourtKind.WATCH, (version.major, version.minor)]
        case Seen(number):
            return [CourtKind.SEEN, number]
        case Confirmation(game, asking, signature):
            who = (asking.device, asking.seat)
            return [CourtKind.CONFIRMATION, game, *who, signature]


def write_item(item: Item) -> bytes:
    """The bytes that an item takes in a frame."""
    written: bytes = msgpack.packb(_plain(item))
    return written


def read_item(written: bytes) -> Item:
    """The item of its bytes.

    Raises:
        FieldError: they are of none.
    """
    return _item(_array(unpack(written, levels=DEEPEST)))


def _plain(item: Item) -> list[object]:
    match item:
        case Gone(game):
            return [game, Tag.GONE]
        case PartOf(game, part):
            return [game, *_plain_part(part)]


def _plain_part(part: Part) -> list[object]:
    match part:
        case Named(title, court, teams, periods):
            return [Tag.NAMED, title, court, teams.home, teams.away, periods]
        case Tallied(seat, score, fouls, time_outs, period, arrow):
            pairs = (score, fouls, time_outs)
            counts = [count for pair in pairs for _, count in pair]
            return [Tag.TALLIED, seat, *counts, period, arrow]
        case Played(period, remaining_ms, running, at_ms):
            return [Tag.PLAYED, period, remaining_ms, running, at_ms]
        case Findings(count, oldest):
            told = [(one.id, one.text, one.raised_at_ms) for one in oldest]
            return [Tag.FINDINGS, count, told]
        case Waiting(count, since_ms):
            return [Tag.WAITING, count, since_ms]
        case Linked(seat, devices, heard_ms):
            return [Tag.LINKED, seat, devices, heard_ms]
        case Written(entries, seat, at_ms, text, is_signed):
            return [Tag.WRITTEN, entries, seat, at_ms, text, is_signed]
        case Asked(newcomers):
            return [Tag.ASKED, [(one.device, one.seat) for one in newcomers]]
        case Meant(findings, last):
            found = [
                (one.cause, _plain_act(one.book), _plain_act(one.board))
                for one in findings
            ]
            return [Tag.MEANT, found, _plain_act(last)]


def _plain_act(act: Act | None) -> list[object] | None:
    return None if act is None else write_act(act)


def decode_courts(frame: bytes | str) -> CourtMessage:
    """What a frame says.

    Raises:
        MalformedFrameError: it is none of these messages.
        UnsupportedVersionError: it introduces somebody who speaks another version.
    """
    if isinstance(frame, str):
        raise MalformedFrameError("the frame is text; expected bytes")
    if len(frame) > MOST_BYTES:
        raise MalformedFrameError(
            f"the frame has {len(frame)} bytes; expected at most {MOST_BYTES}"
        )
    try:
        return _message(_array(unpack(frame, levels=DEEPEST)))
    except FieldError as error:
        raise MalformedFrameError(f"the frame can't be read: {error}") from error


def _message(items: list[object]) -> CourtMessage:
    match items:
        case [CourtKind.WATCH, [major, minor]]:
            return Watch(_version(major, minor))
        case [CourtKind.NEWS, number, relay_ms, more, list() as told]:
            news = tuple(_item(_array(one)) for one in told)
            return News(_count(number), time_ms(relay_ms), _count(more), news)
        case [CourtKind.SEEN, number]:
            return Seen(_count(number))
        case [CourtKind.CONFIRMATION, game, device, seat, signature]:
            asking = Asking(_device(device), _seat(seat))
            return Confirmation(_game(game), asking, sized(signature, 64, "signature"))
        case _:
            raise FieldError("it is no message about courts", "a kind and its fields")


def _version(major: object, minor: object) -> Version:
    version = Version(_count(major), _count(minor))
    if version.major != PROTOCOL.major:
        raise UnsupportedVersionError(
            f"version {version} of the protocol is not spoken here; "
            f"expected {PROTOCOL.major}.x"
        )
    return version


def _item(fields: list[object]) -> Item:
    match fields:
        case [game, Tag.GONE]:
            return Gone(_game(game))
        case [game, *part]:
            return PartOf(_game(game), _part(part))
        case _:
            raise FieldError("an item is of no game", "32 bytes and a part")


def _part(fields: list[object]) -> Part:
    match fields:
        case [Tag.NAMED, title, court, home, away, periods]:
            teams = PerSide(_text(home), _text(away))
            return Named(_text(title), _text(court), teams, _count(periods))
        case [Tag.TALLIED, seat, *counts, period, arrow] if len(counts) == 6:
            one, two, three, four, five, six = map(_count, counts)
            pairs = (PerSide(one, two), PerSide(three, four), PerSide(five, six))
            return Tallied(_seat(seat), *pairs, _count(period), _side(arrow))
        case [Tag.PLAYED, period, remaining_ms, bool() as running, at_ms]:
            return Played(
                _count(period), time_ms(remaining_ms), running, time_ms(at_ms)
            )
        case [Tag.FINDINGS, count, list() as told] if len(told) <= MOST_FINDINGS:
            oldest = tuple(_finding(_array(one)) for one in told)
            return Findings(_count(count), oldest)
        case [Tag.WAITING, count, since_ms]:
            return Waiting(_count(count), time_ms(since_ms))
        case [Tag.LINKED, seat, devices, heard_ms]:
            return Linked(_seat(seat), _count(devices), time_ms(heard_ms))
        case [Tag.WRITTEN, entries, seat, at_ms, text, bool() as is_signed]:
            who = None if seat is None else _seat(seat)
            return Written(_count(entries), who, time_ms(at_ms), _text(text), is_signed)
        case [Tag.ASKED, list() as told] if len(told) <= MOST_NEWCOMERS:
            return Asked(tuple(_newcomer(_array(one)) for one in told))
        case [Tag.MEANT, list() as found, last] if len(found) <= MOST_FINDINGS:
            return Meant(tuple(_found(_array(one)) for one in found), _act(last))
        case _:
            raise FieldError("a part of a court is not known", "a tag and its fields")


def _found(fields: list[object]) -> FoundIn:
    match fields:
        case [str() as cause, book, board] if cause in _CAUSES:
            return FoundIn(_CAUSES[cause], _act(book), _act(board))
        case _:
            raise FieldError("a finding is not right", "a cause and two acts")


def _act(value: object) -> Act | None:
    return None if value is None else read_act(value)


def _finding(fields: list[object]) -> OpenFinding:
    match fields:
        case [str() as id_, text, raised_at_ms] if len(id_) <= FINDING_ID:
            return OpenFinding(id_, _text(text), time_ms(raised_at_ms))
        case _:
            raise FieldError("a finding is not right", "an id, a text and a time")


def _newcomer(fields: list[object]) -> Newcomer:
    match fields:
        case [device, seat]:
            return Newcomer(_device(device), _seat(seat))
        case _:
            raise FieldError("a newcomer is not right", "a device and a seat")


def _game(value: object) -> bytes:
    return sized(value, 32, "game")


def _device(value: object) -> DeviceId:
    return DeviceId(sized(value, 32, "device"))


def _array(value: object) -> list[object]:
    if not isinstance(value, list):
        raise FieldError("a list is none", "an array")
    return value


def _text(value: object) -> str:
    return bounded_text(value, MOST_TEXT)


def _seat(value: object) -> Seat:
    if not isinstance(value, str) or value not in _SEATS:
        raise FieldError("a seat is not known", ", ".join(Seat))
    return _SEATS[value]


def _side(value: object) -> Side | None:
    if value is None:
        return None
    if not isinstance(value, str) or value not in _SIDES:
        raise FieldError("a side is not known", ", ".join(Side))
    return _SIDES[value]


def _count(value: object) -> int:
    return whole(value, MOST)


_SEATS = {str(seat): seat for seat in Seat}
_SIDES = {str(side): side for side in Side}
_CAUSES = {str(cause): cause for cause in Cause}
