"""Entries of a replaced device that came late."""

from __future__ import annotations

from tablesync.core.acts import Note, Seat, SeatTaken
from tablesync.core.late_entries import late_entries
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen

GAME = b"g" * 32
OLD, NEW, CLOCK = (DeviceKey(bytes([n]) * 32) for n in (1, 2, 3))
TAKEN = SeatTaken(b"grant", b"s" * 64)


def test_what_the_new_device_did_not_know_of_is_late_and_the_rest_is_not() -> None:
    old, new = Pen(OLD, Seat.BOOK, GAME), Pen(NEW, Seat.BOOK, GAME)
    first = old.write(TAKEN, VectorClock(), 1_000)
    known = old.write(Note("sent in time"), VectorClock(), 2_000)
    late = old.write(Note("never sent"), VectorClock(), 3_000)
    taking = new.write(TAKEN, VectorClock({OLD.device: 2}), 4_000)
    own = new.write(Note("by the new one"), VectorClock({OLD.device: 2}), 5_000)
    assert late_entries([first, known, late, taking, own]) == (late,)


def test_device_of_another_seat_is_not_replaced() -> None:
    book, clock = Pen(OLD, Seat.BOOK, GAME), Pen(CLOCK, Seat.CLOCK, GAME)
    entries = [
        book.write(TAKEN, VectorClock(), 1_000),
        clock.write(TAKEN, VectorClock(), 2_000),
        book.write(Note("on time"), VectorClock(), 3_000),
    ]
    assert late_entries(entries) == ()


def test_device_that_is_let_in_again_replaces_nobody() -> None:
    pen = Pen(OLD, Seat.BOOK, GAME)
    entries = [pen.write(TAKEN, VectorClock(), n * 1_000) for n in range(1, 4)]
    assert late_entries(entries) == ()
