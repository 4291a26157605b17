"""Devices countersign what the relay holds, and notice one that tells two stories."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.checkpoint import sign_checkpoint
from tablesync.core.acts import Seat, Signer, SignOff
from tablesync.core.merkle import MerkleTree
from tablesync.seal import DeviceKey
from tablesync.sync.codec import decode, encode
from tablesync.sync.effects import Doubted, Vouched
from tablesync.sync.messages import (
    Countersign,
    Hello,
    Refusal,
    Signed,
    Version,
    Welcome,
)
from tablesync.sync.notary import EVERY_MS, Notary
from tests.sync.table import GAME, KEYS, Device, Table, claim_of

if TYPE_CHECKING:
    from tablesync.core.merkle import TreeHead

RELAY = DeviceKey(b"r" * 32)
BOOK, CLOCK, WATCHER = KEYS[:3]


def seated_table() -> Table:
    """Both seats and somebody who only watches, with a relay that signs."""
    table = Table(
        Device(claim_of(BOOK, Seat.BOOK)),
        Device(claim_of(CLOCK, Seat.CLOCK)),
        Device(claim_of(WATCHER, None)),
    )
    table.relay.game.notary = Notary(RELAY, GAME, [], table.now_ms)
    table.connect_all()
    return table


def vouched(table: Table) -> list[Vouched]:
    return [one for one in table.relay.effects if isinstance(one, Vouched)]


def last_head(table: Table) -> TreeHead:
    return vouched(table)[-1].checkpoint.head


def stored_head(table: Table) -> TreeHead:
    return MerkleTree(entry.digest for entry in table.relay.disk).head()


def test_both_seats_countersign_what_is_on_the_relays_disk() -> None:
    table = seated_table()
    book, clock, watcher = table.devices
    for number in range(5):
        table.enter(book, f"b{number}")
        table.enter(clock, f"c{number}")
        table.run(100)
    assert vouched(table) == []
    table.run(EVERY_MS)
    assert last_head(table) == stored_head(table)
    assert {one.device for one in vouched(table)[-1].by} == {BOOK.device, CLOCK.device}
    assert not watcher.seen(Doubted)
    table.enter(book, "one more")
    table.run(EVERY_MS + 1_000)
    assert last_head(table) == stored_head(table)
    assert len(vouched(table)[-1].by) == 2


def test_sign_off_is_signed_and_countersigned_without_waiting() -> None:
    table = seated_table()
    book, clock, _ = table.devices
    table.enter(clock, "c")
    table.run(100)
    book.enter(SignOff(Signer.SCORER, "A. Name"), table.now_ms)
    table.run(100)
    assert last_head(table) == stored_head(table)
    assert len(vouched(table)[-1].by) == 2


def test_device_that_was_away_countersigns_when_it_is_back() -> None:
    table = seated_table()
    book, clock, _ = table.devices
    table.enter(clock, "c")
    table.enter(book, "b")
    table.run(100)
    table.cut(clock)
    table.enter(book, "b2")
    table.run(EVERY_MS + 1_000)
    assert {one.device for one in vouched(table)[-1].by} == {BOOK.device}
    table.connect(clock)
    table.run(100)
    assert last_head(table) == stored_head(table)
    assert {one.device for one in vouched(table)[-1].by} == {BOOK.device, CLOCK.device}


def test_device_that_has_entered_nothing_is_no_party_to_the_record() -> None:
    table = seated_table()
    table.enter(table.devices[0], "b")
    table.run(EVERY_MS + 1_000)
    assert {one.device for one in vouched(table)[-1].by} == {BOOK.device}


def test_device_does_not_countersign_entries_that_it_does_not_hold() -> None:
    table = seated_table()
    book = table.devices[0]
    table.enter(book, "b")
    table.run(100)
    digests = [entry.digest for entry in table.relay.disk]
    hidden = [*digests, bytes(32)]
    head = MerkleTree(hidden).head()
    checkpoint = sign_checkpoint(RELAY, GAME, head, table.now_ms, "tablesync 0")
    said = Signed(checkpoint.payload, checkpoint.signature, 0, tuple(hidden))
    book.side.receive_frame(encode(said), table.now_ms)
    assert book.side.frames_to_send() == []
    book.settle()
    (doubted,) = book.seen(Doubted)
    assert isinstance(doubted, Doubted)
    assert "1 entries that are not held" in str(doubted.error)
    assert book.side.is_linked


def test_device_notices_a_relay_that_moves_what_it_listed() -> None:
    table = seated_table()
    book, clock, _ = table.devices
    table.enter(book, "b")
    table.run(100)
    table.enter(clock, "c")
    table.run(EVERY_MS + 1_000)
    moved = [entry.digest for entry in reversed(table.relay.disk)]
    head = MerkleTree(moved).head()
    checkpoint = sign_checkpoint(RELAY, GAME, head, table.now_ms, "tablesync 0")
    said = Signed(checkpoint.payload, checkpoint.signature, 0, tuple(moved))
    book.side.receive_frame(encode(said), table.now_ms)
    book.settle()
    (doubted,) = book.seen(Doubted)
    assert isinstance(doubted, Doubted)
    assert "another list" in str(doubted.error)


def test_device_of_an_older_version_is_not_told_what_it_can_not_read() -> None:
    table = seated_table()
    book = table.devices[0]
    table.enter(book, "b")
    table.run(EVERY_MS + 1_000)
    hello = Hello(Version(1, 1), GAME, CLOCK.device, Seat.CLOCK, {})
    side = table.relay.game.admit(hello, table.now_ms)
    table.relay.settle()
    told = [decode(frame) for frame in side.frames_to_send()]
    assert not any(isinstance(message, Signed) for message in told)
    newer = replace(hello, version=Version(1, 2))
    side = table.relay.game.admit(newer, table.now_ms)
    table.relay.settle()
    told = [decode(frame) for frame in side.frames_to_send()]
    assert any(isinstance(message, Signed) for message in told)


def test_relay_of_an_older_version_is_not_told_what_it_can_not_read() -> None:
    table = seated_table()
    book, clock, _ = table.devices
    older = Welcome(Version(1, 1), {}, (), table.now_ms)
    clock.side.receive_frame(encode(older), table.now_ms)
    table.enter(book, "b")
    table.enter(clock, "c")
    table.run(EVERY_MS + 1_000)
    assert {one.device for one in vouched(table)[-1].by} == {BOOK.device}
    assert clock.side.is_linked


def test_nonsense_for_a_checkpoint_is_doubted_and_for_a_countersignature_refused() -> (
    None
):
    table = seated_table()
    book = table.devices[0]
    table.enter(book, "b")
    table.run(100)
    book.side.receive_frame(encode(Signed(b"?", b"?", 0, ())), table.now_ms)
    book.settle()
    assert len(book.seen(Doubted)) == 1
    side = book.relay_side
    assert side is not None
    side.receive_frame(encode(Countersign(99, bytes(64), b"")), table.now_ms)
    (refusal,) = [
        message
        for frame in side.frames_to_send()
        if isinstance(message := decode(frame), Refusal)
    ]
    assert refusal.code == "unexpected"
