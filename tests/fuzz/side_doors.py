"""What a relay reads of those who are in no game: at its door, and of directors.

Nothing but the one right greeting may open the door, and nothing that a director says
may change a court.
"""

from __future__ import annotations

from contextlib import suppress

from tablesync.admission.frames import (
    NONCE_BYTES,
    Answer,
    Confirm,
    Granted,
    Guess,
    Handed,
    decode_frame,
    encode_frame,
)
from tablesync.admission.proofs import greet
from tablesync.admission.register import Offer, Register
from tablesync.admission.short_code import DeviceExchange
from tablesync.admission.visitor import Visitor
from tablesync.core.acts import Seat
from tablesync.core.summary import Asked, Newcomer
from tablesync.court_work import Workshop
from tablesync.errors import ProtocolError
from tablesync.sync.courts.codec import decode_courts, encode_courts
from tablesync.sync.courts.confirmation import confirm
from tablesync.sync.courts.desk import CourtDesk
from tablesync.sync.courts.gathering import Courts
from tablesync.sync.courts.messages import Gone, News, Seen, Watch
from tablesync.sync.messages import PROTOCOL, Asking
from tests.sync.table import GAME, KEYS, SHEET

__all__ = ["COURT_FRAMES", "DOOR_FRAMES", "give_at_door", "give_to_courts"]

CERTIFICATE, NONCE, SECRET = b"c" * 32, b"n" * NONCE_BYTES, b"s" * 16
NEWCOMER, DIRECTOR = KEYS[1], KEYS[2]
RIGHT = greet(NEWCOMER, GAME, Seat.BOOK, CERTIFICATE + NONCE, SECRET)


def _offer(number: int) -> Offer:
    return Offer(number, GAME, Seat.BOOK, SECRET, "12345", until_ms=1_000)


def _same_chance(size: int) -> bytes:
    return b"e" * size


DOOR_FRAMES = [
    encode_frame(frame)
    for frame in (
        RIGHT,
        greet(NEWCOMER, GAME, None, CERTIFICATE + NONCE, b""),
        Granted(b"grant", b"s" * 64),
        Guess(1, DeviceExchange("12345", CERTIFICATE, _same_chance).first),
        Answer(b"A" + b"p" * 32),
        Confirm(b"m" * 32),
        Handed(GAME, Seat.BOOK, SECRET, b"m" * 32),
    )
]


def give_at_door(frame: bytes) -> None:
    """Gives a frame to a relay's door, where one invitation is open.

    Raises:
        ProtocolError: it can't be read.
    """
    register = Register(KEYS[4], CERTIFICATE)
    register.recall([_offer(1)])
    visitor = Visitor(register, NONCE, _same_chance)
    with suppress(ProtocolError):
        visitor.receive_frame(frame, 0)
    assert visitor.member is None or decode_frame(frame) == RIGHT
    visitor.frames_to_send()
    message = decode_frame(frame)
    assert decode_frame(encode_frame(message)) == message


def _courts() -> Courts:
    courts = Courts()
    courts.open_court(GAME, SHEET, ())
    courts.waiting_changed(GAME, [Asking(NEWCOMER.device, Seat.BOOK)])
    workshop = Workshop()
    courts.done(workshop.do(courts.next_tasks()))
    return courts


COURTS = _courts()


def _court_frames() -> list[bytes]:
    follower = COURTS.follow(0)
    follower.receive_frame(encode_courts(Watch(PROTOCOL)), 0)
    follower.tick(0)
    told = follower.frames_to_send()
    follower.disconnected()
    said = (
        Watch(PROTOCOL),
        Seen(1),
        News(2, 5, 0, (Gone(GAME),)),
        confirm(DIRECTOR, GAME, Asking(NEWCOMER.device, Seat.BOOK)),
    )
    return told + [encode_courts(message) for message in said]


COURT_FRAMES = _court_frames()


def give_to_courts(frame: bytes) -> None:
    """Gives a frame to a relay's courts as a director's, and to a director as theirs.

    Raises:
        ProtocolError: it can't be read.
    """
    follower = COURTS.follow(0)
    follower.receive_frame(encode_courts(Watch(PROTOCOL)), 0)
    follower.tick(0)
    follower.receive_frame(frame, 1)
    follower.tick(2)
    follower.frames_to_send()
    follower.disconnected()
    court = COURTS.court(GAME)
    assert court is not None
    assert court.entries == []
    assert court.asked == Asked((Newcomer(NEWCOMER.device, Seat.BOOK),))
    desk = CourtDesk()
    desk.connected()
    desk.receive_frame(frame, 0)
    desk.frames_to_send()
    message = decode_courts(frame)
    assert decode_courts(encode_courts(message)) == message
