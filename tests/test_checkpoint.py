"""Checkpoints catch a relay that leaves an entry out or tells two histories."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

import msgpack
import pytest

from tablesync.checkpoint import (
    MOST_BYTES,
    Checkpoint,
    Countersignature,
    Witness,
    contradict,
    countersign,
    read_checkpoint,
    sign_checkpoint,
    verify_checkpoint,
    verify_countersignature,
)
from tablesync.core.merkle import MerkleTree, TreeHead
from tablesync.errors import CheckpointError
from tablesync.seal import DeviceKey
from tablesync.statement import Statement, write_statement

RELAY = DeviceKey(b"r" * 32)
SCORER = DeviceKey(b"b" * 32)
GAME = sha256(b"a game").digest()
OTHER_GAME = sha256(b"another game").digest()
STATEMENT = write_statement(Statement("tablesync 0", None))
DIGESTS = [sha256(bytes([n])).digest() for n in range(9)]


def signed_head(
    head: TreeHead, *, key: DeviceKey = RELAY, game: bytes = GAME, at_ms: int = 61_000
) -> Checkpoint:
    return sign_checkpoint(key, game, head, at_ms, "tablesync 0")


def signed(digests: list[bytes], game: bytes = GAME) -> Checkpoint:
    return signed_head(MerkleTree(digests).head(), game=game)


def witness() -> Witness:
    return Witness(GAME, RELAY.device)


def refusal(seen: Witness, checkpoint: Checkpoint, added: list[bytes]) -> str:
    before = seen.seen
    with pytest.raises(CheckpointError) as caught:
        seen.see(checkpoint, before, added, set(DIGESTS))
    assert seen.seen == before
    return str(caught.value)


def test_a_checkpoint_says_what_was_signed_and_by_whom() -> None:
    checkpoint = signed(DIGESTS)
    verify_checkpoint(checkpoint)
    assert checkpoint.game == GAME
    assert checkpoint.head == MerkleTree(DIGESTS).head()
    assert checkpoint.table_time_ms == 61_000
    assert checkpoint.signer == RELAY.device
    assert checkpoint.software == "tablesync 0"
    assert read_checkpoint(checkpoint.payload, checkpoint.signature) == checkpoint


def test_every_changed_bit_of_a_checkpoint_is_refused() -> None:
    checkpoint = signed(DIGESTS)
    whole = checkpoint.payload + checkpoint.signature
    split = len(checkpoint.payload)
    for at in range(len(whole)):
        for bit in range(8):
            changed = bytearray(whole)
            changed[at] ^= 1 << bit
            with pytest.raises(CheckpointError):
                verify_checkpoint(
                    read_checkpoint(bytes(changed[:split]), bytes(changed[split:]))
                )


@pytest.mark.parametrize(
    "fields",
    [
        "text",
        [],
        [1, GAME, 0, GAME, 0, GAME, "p"],
        [True, GAME, 0, GAME, 0, GAME, "p"],
        [2, GAME, -1, GAME, 0, GAME, "p"],
        [2, GAME, 2**31 + 1, GAME, 0, GAME, "p"],
        [2, GAME, False, GAME, 0, GAME, "p"],
        [2, GAME, 0, GAME, 2**53 + 1, GAME, "p"],
        [2, GAME, 0, GAME, 0.0, GAME, "p"],
        [2, GAME[:31], 0, GAME, 0, GAME, "p"],
        [2, GAME, 0, GAME + b"x", 0, GAME, "p"],
        [2, GAME, 0, GAME, 0, b"", "p"],
        [2, GAME, 0, GAME, 0, GAME],
        [2, GAME, 0, GAME, 0, GAME, 0],
        [2, GAME, 0, GAME, 0, GAME, "p" * 61],
        [2, GAME, 0, GAME, 0, GAME, "p", 0],
        [2, GAME, 0, [GAME], 0, GAME, "p"],
    ],
)
def test_bytes_that_are_no_checkpoint_are_refused(fields: object) -> None:
    with pytest.raises(CheckpointError, match=r"^checkpoint \?: "):
        read_checkpoint(msgpack.packb(fields), bytes(64))


def test_a_checkpoint_of_a_wrong_length_is_refused() -> None:
    checkpoint = signed(DIGESTS)
    for payload, signature in (
        (checkpoint.payload, checkpoint.signature[:63]),
        (checkpoint.payload + b"\x00", checkpoint.signature),
        (checkpoint.payload[:-1], checkpoint.signature),
        (bytes(MOST_BYTES + 1), checkpoint.signature),
    ):
        with pytest.raises(CheckpointError):
            read_checkpoint(payload, signature)


def test_a_countersignature_holds_for_one_checkpoint_and_one_device() -> None:
    checkpoint, shorter = signed(DIGESTS), signed(DIGESTS[:8])
    counter = countersign(SCORER, checkpoint, STATEMENT)
    other_words = write_statement(Statement("tablesync 1", None))
    verify_countersignature(checkpoint, counter)
    for wrong, other in (
        (counter, shorter),
        (replace(counter, device=RELAY.device), checkpoint),
        (replace(counter, signature=bytes(64)), checkpoint),
        (replace(counter, statement=other_words), checkpoint),
        (
            Countersignature(RELAY.device, checkpoint.signature, STATEMENT),
            checkpoint,
        ),
    ):
        with pytest.raises(CheckpointError, match="is not valid"):
            verify_countersignature(other, wrong)


def test_a_signature_of_one_kind_does_not_pass_for_another() -> None:
    checkpoint = signed(DIGESTS)
    as_entry = replace(checkpoint, signature=RELAY.sign(checkpoint.payload))
    with pytest.raises(CheckpointError, match="signature is not valid"):
        verify_checkpoint(as_entry)


def test_a_witness_countersigns_a_list_that_only_grows() -> None:
    seen = witness()
    for start, stop in ((0, 0), (0, 3), (3, 4), (4, 9), (9, 9)):
        checkpoint = signed(DIGESTS[:stop])
        seen.see(checkpoint, start, DIGESTS[start:stop], set(DIGESTS))
        assert seen.seen == stop


def test_a_witness_does_not_sign_what_it_can_not_see() -> None:
    seen = witness()
    seen.see(signed(DIGESTS[:3]), 0, DIGESTS[:3], set(DIGESTS))
    unknown = sha256(b"unknown").digest()
    swapped = [DIGESTS[1], DIGESTS[0], *DIGESTS[2:4]]
    assert refusal(seen, signed([*DIGESTS[:3], unknown]), [unknown]) == (
        "checkpoint over 4 entries: lists 1 entries that are not held here"
    )
    again = [*DIGESTS[:3], DIGESTS[0]]
    assert "lists an entry twice" in refusal(seen, signed(again), again[3:])
    for other in (swapped, DIGESTS[:2], [DIGESTS[0], *DIGESTS[2:5]], []):
        assert "is not that of the entries listed" in refusal(
            seen, signed(other), DIGESTS[3:4]
        )
    forged = replace(signed(DIGESTS[:4]), signature=bytes(64))
    assert "its signature is not valid" in refusal(seen, forged, DIGESTS[3:4])
    elsewhere = signed(DIGESTS[:4], OTHER_GAME)
    assert "of another relay or game" in refusal(seen, elsewhere, DIGESTS[3:4])
    head = MerkleTree(DIGESTS[:4]).head()
    stranger = signed_head(head, key=SCORER)
    assert "of another relay or game" in refusal(seen, stranger, DIGESTS[3:4])
    seen.see(signed(DIGESTS[:4]), 3, DIGESTS[3:4], set(DIGESTS))


def test_a_witness_is_told_again_what_it_knows_and_notices_any_change() -> None:
    held = set(DIGESTS)
    seen = witness()
    seen.see(signed(DIGESTS[:4]), 0, DIGESTS[:4], held)
    for since in range(5):
        seen.see(signed(DIGESTS[:4]), since, DIGESTS[since:4], held)
    older = signed(DIGESTS[:2])
    seen.see(older, 0, DIGESTS[:2], held)
    assert seen.seen == 4
    seen.see(signed(DIGESTS[:6]), 2, DIGESTS[2:6], held)
    assert seen.seen == 6
    moved = [DIGESTS[1], DIGESTS[0], *DIGESTS[2:7]]
    for since, listed in ((0, moved), (2, [DIGESTS[3], DIGESTS[2]]), (7, DIGESTS[7:])):
        with pytest.raises(CheckpointError, match="another list than"):
            seen.see(signed(moved), since, listed, held)
    assert seen.seen == 6


def test_a_relay_that_tells_two_histories_contradicts_itself() -> None:
    told_book, told_clock = signed(DIGESTS[:5]), signed([*DIGESTS[:4], DIGESTS[5]])
    witness().see(told_book, 0, DIGESTS[:5], set(DIGESTS))
    witness().see(told_clock, 0, [*DIGESTS[:4], DIGESTS[5]], set(DIGESTS))
    assert contradict(told_book, told_clock)
    later = signed_head(told_book.head, at_ms=99_000)
    assert not contradict(told_book, later)
    assert not contradict(told_book, signed(DIGESTS[:6]))
    assert not contradict(told_book, signed(DIGESTS[1:6], OTHER_GAME))
    assert not contradict(told_book, signed_head(told_clock.head, key=SCORER))
