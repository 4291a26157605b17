"""Checkpoints of one game: when they are signed, told and countersigned."""

from __future__ import annotations

from hashlib import sha256

import pytest

from tablesync.checkpoint import (
    Countersignature,
    Witness,
    countersign,
    read_checkpoint,
    verify_checkpoint,
)
from tablesync.core.acts import Note, Seat, Signer, SignOff
from tablesync.core.merkle import MerkleTree
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import CheckpointError
from tablesync.seal import DeviceKey, Pen
from tablesync.statement import Statement, write_statement
from tablesync.sync.codec import MOST_BYTES, encode
from tablesync.sync.messages import Countersign, Signed
from tablesync.sync.notary import EVERY_MS, Notary
from tests.sync.table import GAME, KEYS

RELAY = DeviceKey(b"r" * 32)
BOOK = KEYS[0]
STATEMENT = write_statement(Statement("tablesync 0", None))


def said(counter: Countersignature, size: int) -> Countersign:
    return Countersign(size, counter.signature, counter.statement)


def new_notary(stored: list[bytes] | None = None) -> Notary:
    return Notary(RELAY, GAME, stored or [], 1_000)


def test_nothing_is_signed_before_anything_is_on_the_disk() -> None:
    notary = new_notary()
    assert notary.due_ms > 10**15
    assert notary.newest_for(0, 1_000) is None


def test_checkpoint_is_due_a_while_after_the_one_before_and_only_for_news() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    notary = new_notary()
    notary.stored([pen.write(Note("a"), VectorClock(), 5)])
    assert notary.due_ms == 1_000 + EVERY_MS
    checkpoint = notary.sign(40_000)
    verify_checkpoint(checkpoint)
    assert (checkpoint.head.size, checkpoint.table_time_ms) == (1, 40_000)
    assert checkpoint.signer == RELAY.device
    assert notary.due_ms > 10**15
    notary.stored([pen.write(Note("b"), VectorClock(), 6)])
    assert notary.due_ms == 40_000 + EVERY_MS


def test_sign_off_is_signed_at_once() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    notary = new_notary()
    notary.stored([pen.write(Note("a"), VectorClock(), 5)])
    notary.stored([pen.write(SignOff(Signer.SCORER, "A. Name"), VectorClock(), 6)])
    assert notary.due_ms <= 1_000


def test_game_taken_up_again_is_signed_anew_in_the_order_of_the_disk() -> None:
    digests = [sha256(bytes([n])).digest() for n in range(4)]
    notary = new_notary(digests)
    assert notary.due_ms == 1_000 + EVERY_MS
    assert notary.sign(2_000).head == MerkleTree(digests).head()


def test_entry_that_was_damaged_and_came_again_keeps_its_place() -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    written = [pen.write(Note(str(n)), VectorClock(), n) for n in range(3)]
    digests = [entry.digest for entry in written]
    notary = new_notary(digests)
    notary.stored([written[1]])
    assert notary.sign(2_000).head == MerkleTree(digests).head()


def test_device_is_told_what_it_has_not_countersigned_yet() -> None:
    digests = [sha256(bytes([n])).digest() for n in range(4)]
    notary = new_notary(digests)
    notary.sign(2_000)
    witness = Witness(GAME, RELAY.device)
    signed = notary.newest_for(0, 2_000)
    assert signed is not None
    assert signed.digests == tuple(digests)
    checkpoint = read_checkpoint(signed.payload, signed.signature)
    witness.see(checkpoint, signed.since, signed.digests, set(digests))
    counter = countersign(BOOK, checkpoint, STATEMENT)
    told = notary.countersigned(BOOK.device, said(counter, 4))
    assert told == (checkpoint, (counter,))
    assert notary.newest_for(4, 2_000) is None
    second = countersign(KEYS[1], checkpoint, STATEMENT)
    _, by = notary.countersigned(KEYS[1].device, said(second, 4))
    assert {one.device for one in by} == {BOOK.device, KEYS[1].device}


def test_long_list_is_told_in_several_checkpoints_that_fit_into_frames() -> None:
    digests = [sha256(n.to_bytes(4, "big")).digest() for n in range(4_000)]
    notary = new_notary(digests)
    notary.sign(2_000)
    witness = Witness(GAME, RELAY.device)
    seen, told = 0, list[Signed]()
    while (signed := notary.newest_for(seen, 3_000)) is not None:
        assert len(encode(signed)) <= MOST_BYTES
        told.append(signed)
        checkpoint = read_checkpoint(signed.payload, signed.signature)
        witness.see(checkpoint, signed.since, signed.digests, set(digests))
        seen = checkpoint.head.size
        counter = countersign(BOOK, checkpoint, STATEMENT)
        notary.countersigned(BOOK.device, said(counter, seen))
    assert seen == 4_000
    assert len(told) == 3


def test_countersignature_of_something_else_is_refused() -> None:
    notary = new_notary([sha256(b"x").digest()])
    checkpoint = notary.sign(2_000)
    counter = countersign(BOOK, checkpoint, STATEMENT)
    unread = countersign(BOOK, checkpoint, b"?")
    for device, wrong in (
        (BOOK.device, said(counter, 2)),
        (BOOK.device, Countersign(1, bytes(64), STATEMENT)),
        (BOOK.device, Countersign(1, counter.signature, b"?")),
        (BOOK.device, said(unread, 1)),
        (KEYS[1].device, said(counter, 1)),
    ):
        with pytest.raises(CheckpointError):
            notary.countersigned(device, wrong)
