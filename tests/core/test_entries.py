from __future__ import annotations

from hashlib import sha256

from hypothesis import given

from tablesync.core.acts import EntryId, Note
from tablesync.core.entries import digest_of
from tablesync.core.vector_clock import VectorClock
from tests.strategies import DEVICES, KEYS, SEATS, Desk, Written, forked_histories

A, B, C, _ = DEVICES


def desk(which: int) -> Desk:
    return Desk(f"desk {which}", KEYS[which], SEATS[which])


def test_a_digest_is_sha_256_over_payload_and_signature() -> None:
    # FIPS 180-2, appendix B.1: the digest of "abc".
    assert digest_of(b"a", b"bc").hex() == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
    entry = desk(0).write(Note("x"), 0)
    assert entry.digest == sha256(entry.payload + entry.signature).digest()


def test_an_entrys_clock_is_what_it_had_seen_and_itself() -> None:
    book, clock = desk(0), desk(1)
    book.write(Note("1"), 0)
    book.write(Note("2"), 0)
    book.tell(clock, 10)
    entry = clock.write(Note("1"), 0)
    assert entry.seen == VectorClock({A: 2})
    assert entry.clock == VectorClock({A: 2, B: 1})


def test_an_entry_knew_what_came_before_it_on_its_own_device() -> None:
    book = desk(0)
    first, second = book.write(Note("1"), 0), book.write(Note("2"), 0)
    assert second.knew(first)
    assert not first.knew(second)
    assert not first.knew(first)


def test_an_entry_knew_all_up_to_the_number_it_had_seen() -> None:
    book, clock = desk(0), desk(1)
    first = book.write(Note("1"), 0)
    second = book.write(Note("2"), 0)
    book.tell(clock, 10)
    third = book.write(Note("3"), 0)
    entry = clock.write(Note("1"), 0)
    assert entry.knew(first)
    assert entry.knew(second)
    assert not entry.knew(third)
    assert entry.is_concurrent_with(third)
    assert not entry.is_concurrent_with(second)
    assert not entry.is_concurrent_with(entry)


def test_two_branches_of_a_fork_are_concurrent() -> None:
    one, other = desk(0).write(Note("one"), 0), desk(0).write(Note("other"), 0)
    assert one.id == other.id == EntryId(A, 1)
    assert one.is_concurrent_with(other)


@given(forked_histories())
def test_concurrency_is_symmetric_and_nothing_knew_what_knew_it(
    written: Written,
) -> None:
    for one in written.entries:
        for other in written.entries:
            concurrent = one.is_concurrent_with(other)
            assert concurrent == other.is_concurrent_with(one)
            assert (one is other) + concurrent + one.knew(other) + other.knew(one) >= 1


def test_an_entry_shows_who_when_and_what_and_no_bytes() -> None:
    entry = desk(0).write(Note("rain on the roof"), 1_500)
    text = repr(entry)
    assert "rain on the roof" in text
    assert "1500" in text
    assert "payload" not in text
    assert "signature" not in text
