"""Frames about courts: their exact bytes, and what is none."""

from __future__ import annotations

import msgpack
import pytest

from tablesync.core.acts import Basket, Correction, EntryId, Seat, Side, Substitution
from tablesync.core.findings import Cause
from tablesync.core.summary import (
    Asked,
    Findings,
    FoundIn,
    Linked,
    Meant,
    Named,
    Newcomer,
    OpenFinding,
    Played,
    Tallied,
    Waiting,
    Written,
)
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import MalformedFrameError, UnsupportedVersionError
from tablesync.sync.codec import MOST_BYTES, Kind, encode
from tablesync.sync.courts.codec import (
    decode_courts,
    encode_courts,
    is_watch,
    read_item,
    write_item,
)
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
from tablesync.sync.messages import Asking, Bye, Version

GAME = b"g" * 32
ONE = DeviceId(b"1" * 32)
TALLY = Tallied(Seat.CLOCK, PerSide(1, 2), PerSide(3, 4), PerSide(5, 6), 2, Side.AWAY)
CORRECTION = Correction(
    EntryId(ONE, 3), Substitution(Side.HOME, ("4",), ("5",)), None, "sixth"
)
ITEMS: list[tuple[Item, list[object]]] = [
    (Gone(GAME), [GAME, 10]),
    (
        PartOf(GAME, Named("A v B", "2", PerSide("A", "B"), 4)),
        [GAME, 11, "A v B", "2", "A", "B", 4],
    ),
    (PartOf(GAME, TALLY), [GAME, 12, "clock", 1, 2, 3, 4, 5, 6, 2, "away"]),
    (
        PartOf(GAME, Played(2, 61_000, running=True, at_ms=77)),
        [GAME, 13, 2, 61_000, True, 77],
    ),
    (
        PartOf(GAME, Findings(3, (OpenFinding("abc", "text", 9),))),
        [GAME, 14, 3, [["abc", "text", 9]]],
    ),
    (PartOf(GAME, Waiting(1, 8)), [GAME, 15, 1, 8]),
    (PartOf(GAME, Linked(Seat.BOOK, 0, 44)), [GAME, 16, "book", 0, 44]),
    (
        PartOf(GAME, Written(7, Seat.BOOK, 55, "white 4", is_signed=False)),
        [GAME, 17, 7, "book", 55, "white 4", False],
    ),
    (PartOf(GAME, Asked((Newcomer(ONE, Seat.BOOK),))), [GAME, 18, [[ONE, "book"]]]),
    (
        PartOf(
            GAME,
            Meant(
                (FoundIn(Cause.ONLY_IN_BOOK, Basket(Side.HOME, "4", 2), None),),
                Substitution(Side.AWAY, ("5",), ("6", "7")),
            ),
        ),
        [
            GAME,
            19,
            [["only_in_book", ["basket", "home", "4", 2], None]],
            ["substitution", "away", ["5"], ["6", "7"]],
        ],
    ),
    (
        PartOf(
            GAME,
            Meant(
                (FoundIn(Cause.ONLY_IN_BOOK, None, CORRECTION),),
                None,
            ),
        ),
        [
            GAME,
            19,
            [
                [
                    "only_in_book",
                    None,
                    [
                        "correction",
                        [ONE, 3],
                        ["substitution", "home", ["4"], ["5"]],
                        None,
                        "sixth",
                    ],
                ]
            ],
            None,
        ],
    ),
]
FRAMES: list[tuple[CourtMessage, list[object]]] = [
    (Watch(Version(1, 0)), [64, [1, 0]]),
    (
        News(4, 1_000, 2, tuple(item for item, _ in ITEMS)),
        [65, 4, 1_000, 2, [plain for _, plain in ITEMS]],
    ),
    (Seen(4), [66, 4]),
    (
        Confirmation(GAME, Asking(ONE, Seat.CLOCK), b"s" * 64),
        [67, GAME, ONE, "clock", b"s" * 64],
    ),
]


@pytest.mark.parametrize(("message", "plain"), FRAMES)
def test_frame_is_exactly_these_bytes(
    message: CourtMessage, plain: list[object]
) -> None:
    assert encode_courts(message) == msgpack.packb(plain)
    assert decode_courts(msgpack.packb(plain)) == message


@pytest.mark.parametrize(("item", "plain"), ITEMS)
def test_item_by_itself_is_what_it_is_in_a_frame(
    item: Item, plain: list[object]
) -> None:
    assert write_item(item) == msgpack.packb(plain)
    assert read_item(write_item(item)) == item


def test_no_kind_means_something_in_the_other_conversation_too() -> None:
    assert not {64, 65, 66, 67} & {int(kind) for kind in Kind}


def test_only_who_asks_to_follow_is_taken_for_a_follower() -> None:
    assert is_watch(encode_courts(Watch(Version(1, 0))))
    for frame in (encode(Bye()), encode_courts(Seen(1)), b"", b"\x92", "@@"):
        assert not is_watch(frame)


@pytest.mark.parametrize(
    "plain",
    [
        [],
        [63],
        [64],
        [64, 1],
        [65, 1, 2, 3, 4],
        [65, 1, 2, -1, []],
        [65, True, 2, 3, []],
        [65, 1, 2, 3, [[b"short", 10]]],
        [65, 1, 2, 3, [[GAME, 9]]],
        [65, 1, 2, 3, [[GAME, 18, [[ONE]]]]],
        [65, 1, 2, 3, [[GAME, 18, [[ONE, "book"]] * 9]]],
        [67, GAME, ONE, "book", b"short"],
        [67, GAME, b"short", "book", b"s" * 64],
        [67, GAME, ONE, None, b"s" * 64],
        [65, 1, 2, 3, [[GAME, 15, 1]]],
        [65, 1, 2, 3, [[GAME, 12, "clock", 1, 2, 3, 4, 5, 6, 2, "left"]]],
        [65, 1, 2, 3, [[GAME, 16, "lamp", 0, 44]]],
        [65, 1, 2, 3, [[GAME, 13, 1, 2, 1, 3]]],
        [65, 1, 2, 3, [[GAME, 17, 7, "book", 55, "x" * 201, False]]],
        [65, 1, 2, 3, [[GAME, 14, 9, [["f", "x", 1]] * 9]]],
        [65, 1, 2, 3, [[GAME, 14, 1, [["f", "x"]]]]],
        [65, 1, 2, 3, [[GAME, 19, [["nobody knows", None, None]], None]]],
        [65, 1, 2, 3, [[GAME, 19, [], ["basket", "home"]]]],
        [65, 1, 2, 3, [[GAME, 19, [["only_in_book", None, None]] * 9, None]]],
        [66, "1"],
    ],
)
def test_anything_else_is_refused(plain: list[object]) -> None:
    with pytest.raises(MalformedFrameError):
        decode_courts(msgpack.packb(plain))


def test_text_too_much_and_another_version_are_refused() -> None:
    with pytest.raises(MalformedFrameError):
        decode_courts("text")
    with pytest.raises(MalformedFrameError):
        decode_courts(b"\x00" * (MOST_BYTES + 1))
    with pytest.raises(UnsupportedVersionError):
        decode_courts(msgpack.packb([64, [2, 0]]))
