from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.entries import digest_of
from tablesync.core.history import History
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BadSignatureError
from tablesync.seal import Pen, unseal
from tablesync.sync.codec import MOST_BYTES, encode
from tablesync.sync.intake import Archive, Arrivals, Batch, read_frames, take_in
from tablesync.sync.messages import Beat, Entries, Sealed
from tests.sync.table import GAME, KEYS

if TYPE_CHECKING:
    from tablesync.core.entries import Entry

BOOK, CLOCK = KEYS[:2]
SPOILT = bytes(64)


def notes(count: int) -> list[Entry]:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    return [pen.write(Note(str(n)), VectorClock(), n) for n in range(1, count + 1)]


def spoilt(entry: Entry) -> Entry:
    digest = digest_of(entry.payload, SPOILT)
    return replace(entry, signature=SPOILT, digest=digest)


def after(entry: Entry) -> Entry:
    """What the entry's device writes next, linking to the very bytes of the entry."""
    pen = Pen(BOOK, Seat.BOOK, GAME)
    pen.resume(entry)
    return pen.write(Note("next"), VectorClock(), 99)


def frame(*entries: Entry) -> bytes:
    return encode(Entries(tuple(Sealed(e.payload, e.signature) for e in entries)))


def arrivals_of(*frames: bytes) -> Arrivals:
    arrivals = read_frames(frames, History(GAME))
    arrivals.vouch()
    return arrivals


def test_entries_that_come_in_a_row_are_one_batch_with_one_newest() -> None:
    one, two, three = notes(3)
    (batch,) = read_frames([frame(one), frame(two, three)], History(GAME)).steps
    assert isinstance(batch, Batch)
    assert batch.entries == [one, two, three]
    assert batch.newest() == [three]


def test_a_beat_keeps_its_place_between_entries() -> None:
    one, two = notes(2)
    beat = Beat(5, 1, 5)
    steps = read_frames([frame(one), encode(beat), frame(two)], History(GAME)).steps
    assert steps == [Batch([one]), beat, Batch([two])]


def test_the_newest_of_each_device_is_named() -> None:
    pen = Pen(CLOCK, Seat.CLOCK, GAME)
    other = pen.write(Note("clock"), VectorClock(), 1)
    one, two = notes(2)
    assert Batch([one, other, two]).newest() == [other, two]


def test_a_valid_newest_signature_vouches_for_the_bytes_it_leads_to() -> None:
    one, two = notes(2)
    (batch,) = arrivals_of(frame(one, two)).batches()
    assert batch.is_vouched_for
    assert list(take_in(Archive(GAME), batch)) == [one, two]


def test_a_device_can_stand_by_an_entry_that_it_has_signed_wrongly() -> None:
    (one,) = notes(1)
    wrong = spoilt(one)
    holder = Archive(GAME)
    (batch,) = arrivals_of(frame(wrong, after(wrong))).batches()
    assert len(list(take_in(holder, batch))) == 2
    with pytest.raises(BadSignatureError):
        list(take_in(Archive(GAME), Batch([wrong])))


def test_a_page_that_ends_on_a_wrongly_signed_entry_is_taken_up_to_it() -> None:
    """What is left begins the next page, with the entry that vouches for it."""
    wrong = spoilt(notes(1)[0])
    two = after(wrong)
    wrong_again = spoilt(after(two))
    last = after(wrong_again)
    holder = Archive(GAME)
    (batch,) = arrivals_of(frame(wrong, two, wrong_again)).batches()
    with pytest.raises(BadSignatureError):
        list(take_in(holder, batch))
    assert list(holder.history) == [wrong, two]
    (batch,) = arrivals_of(frame(wrong_again, last)).batches()
    assert list(take_in(holder, batch)) == [wrong_again, last]


def test_a_newest_entry_vouches_for_no_more_than_fits_a_page() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    long = [pen.write(Note("x" * 150), VectorClock(), n) for n in range(500)]
    frames = [frame(*long[start : start + 100]) for start in range(0, 500, 100)]
    batches = arrivals_of(*frames).batches()
    assert len(batches) > 1
    assert [entry for batch in batches for entry in batch.entries] == long
    for batch in batches:
        assert len(frame(*batch.entries)) <= MOST_BYTES
        assert batch.newest() == batch.entries[-1:]
    assert Batch(long).newest() == long


def test_nobody_vouches_for_another_devices_entry() -> None:
    (one,) = notes(1)
    forged = spoilt(one)
    pen = Pen(CLOCK, Seat.CLOCK, GAME)
    pen.resume(forged)
    link = pen.write(Note("mine"), VectorClock(), 9)
    (batch,) = arrivals_of(frame(forged, link)).batches()
    assert not batch.is_vouched_for
    with pytest.raises(BadSignatureError):
        list(take_in(Archive(GAME), batch))


def test_what_comes_before_a_wrong_signature_is_taken() -> None:
    one, two, three = notes(3)
    holder = Archive(GAME)
    (batch,) = arrivals_of(frame(one, spoilt(two)), frame(three)).batches()
    with pytest.raises(BadSignatureError):
        list(take_in(holder, batch))
    assert list(holder.history) == [one]


def test_a_changed_payload_is_not_vouched_for() -> None:
    one, two = notes(2)
    changed = unseal(one.payload.replace(b"1", b"7"), one.signature)
    (batch,) = arrivals_of(frame(changed, two)).batches()
    with pytest.raises(BadSignatureError):
        list(take_in(Archive(GAME), batch))


def test_reading_ends_at_the_first_wrong_frame() -> None:
    one, two = notes(2)
    arrivals = read_frames([frame(one), b"\xc1", frame(two)], History(GAME))
    assert arrivals.steps == [Batch([one])]
    assert arrivals.error is not None
