"""Nobody counts as heard up to a time before which something of theirs is missing."""

from __future__ import annotations

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import Pen
from tablesync.sync.intake import Archive
from tablesync.sync.messages import Presence
from tablesync.sync.roll import Roll
from tests.sync.table import GAME, KEYS

BOOK, CLOCK = KEYS[:2]


def at_the_book(number: int, heard_ms: int) -> Presence:
    return Presence(
        BOOK.device, Seat.BOOK, is_linked=True, number=number, heard_ms=heard_ms
    )


def test_device_known_from_its_entries_is_not_linked() -> None:
    holder = Archive(GAME)
    holder.receive(Pen(BOOK, Seat.BOOK, GAME).write(Note("1"), VectorClock(), 500))
    (presence,) = Roll(holder)
    assert (presence.is_linked, presence.number, presence.heard_ms) == (False, 1, 501)


def test_claim_beyond_what_is_held_waits_for_the_entries() -> None:
    holder = Archive(GAME)
    roll = Roll(holder)
    roll.hear(at_the_book(number=0, heard_ms=100))
    heard = roll.hear(at_the_book(number=1, heard_ms=900))
    assert (heard.is_linked, heard.number, heard.heard_ms) == (True, 0, 100)
    assert roll.is_ahead
    assert roll.catch_up() == []
    entry = Pen(BOOK, Seat.BOOK, GAME).write(Note("1"), VectorClock(), 500)
    holder.receive(entry)
    roll.note((entry,))
    assert roll.catch_up() == [at_the_book(number=1, heard_ms=900)]
    assert not roll.is_ahead


def test_neither_number_nor_time_ever_falls() -> None:
    holder = Archive(GAME)
    roll = Roll(holder)
    entry = Pen(BOOK, Seat.BOOK, GAME).write(Note("1"), VectorClock(), 500)
    holder.receive(entry)
    roll.note((entry,))
    roll.hear(at_the_book(number=1, heard_ms=900))
    assert roll.hear(at_the_book(number=0, heard_ms=200)) == at_the_book(1, 900)


def test_unlinked_device_stays_heard() -> None:
    roll = Roll(Archive(GAME))
    roll.hear(at_the_book(number=0, heard_ms=900))
    presence = roll.unlink(BOOK.device)
    assert (presence.is_linked, presence.heard_ms) == (False, 900)
    assert roll[BOOK.device] == presence


def test_without_a_link_nothing_is_known_of_anybodys() -> None:
    roll = Roll(Archive(GAME))
    roll.hear(at_the_book(number=3, heard_ms=900))
    roll.unlink_all()
    assert not roll.is_ahead
    assert not roll[BOOK.device].is_linked
    assert CLOCK.device not in roll
