"""The relay through real sockets: whom it serves, whom it refuses, how it ends."""

from __future__ import annotations

import asyncio
import socket as sockets
import sqlite3
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import msgpack
import pytest
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed, InvalidStatus

from tablesync.checkpoint import read_checkpoint
from tablesync.clock import MonotonicClock, VirtualClock
from tablesync.core.acts import Note, Seat, Signer, SignOff
from tablesync.core.history import Head
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BadInputError, StorageError
from tablesync.identity import identity_at, identity_path
from tablesync.seal import Pen
from tablesync.server import Relay, serve
from tablesync.store import Store
from tablesync.sync.codec import decode, encode
from tablesync.sync.intake import Archive
from tablesync.sync.messages import (
    PROTOCOL,
    Beat,
    BeatBack,
    Bye,
    Durable,
    Entries,
    Hello,
    Message,
    Presence,
    Refusal,
    Sealed,
    SheetFrame,
    SheetRequest,
    Signed,
    Welcome,
)
from tests.sync.table import GAME, KEYS, SHEET, TIMING
from tests.test_storage_contract import meddle

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable

    from websockets.asyncio.client import ClientConnection

    from tablesync.core.entries import Entry
    from tablesync.seat_socket import SeatSocket
    from tablesync.sync.relay import RelaySide

BOOK, CLOCK = KEYS[:2]


@pytest.fixture
async def store(tmp_path: Path) -> AsyncIterator[Store]:
    async with await Store.open(tmp_path / "store.db") as store:
        yield store


@pytest.fixture
async def relay(store: Store) -> AsyncIterator[Relay]:
    async with await serve(store, MonotonicClock(), TIMING, "127.0.0.1", 0) as relay:
        yield relay


def dial(relay: Relay) -> connect:
    return connect(relay.address, compression=None, proxy=None)


async def say(socket: ClientConnection, *messages: Message) -> None:
    for message in messages:
        await socket.send(encode(message))


async def hear(socket: ClientConnection) -> Message:
    frame = await asyncio.wait_for(socket.recv(), timeout=5)
    return decode(frame)


async def hear_until(socket: ClientConnection, kind: type[Message]) -> Message:
    while True:
        message = await hear(socket)
        if isinstance(message, kind):
            return message


async def join(socket: ClientConnection, seat: Seat | None = Seat.BOOK) -> None:
    key = BOOK if seat is Seat.BOOK else CLOCK
    await say(socket, Hello(PROTOCOL, GAME, key.device, seat, {}))
    first = await hear(socket)
    if first == SheetRequest():
        await say(socket, SheetFrame(SHEET))
        first = await hear(socket)
    assert isinstance(first, Welcome)


async def hear_all(socket: ClientConnection) -> list[Message]:
    """What comes until the connection ends."""
    heard: list[Message] = []
    with suppress(ConnectionClosed):
        while True:
            heard.append(await hear(socket))
    return heard


async def until(predicate: Callable[[], bool]) -> None:
    """Waits for something that nothing tells of."""
    async with asyncio.timeout(5):
        while not predicate():  # noqa: ASYNC110
            await asyncio.sleep(0.001)


def notes(count: int) -> list[Entry]:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    return [pen.write(Note(str(n)), VectorClock(), 1_000 + n) for n in range(count)]


def sealed(*entries: Entry) -> Entries:
    return Entries(tuple(Sealed(e.payload, e.signature) for e in entries))


async def test_relay_without_a_gate_signs_with_the_key_that_its_gate_would_have(
    relay: Relay, store: Store
) -> None:
    pen = Pen(BOOK, Seat.BOOK, GAME)
    signed_off = pen.write(SignOff(Signer.SCORER, "I. Wetherby"), VectorClock(), 1_000)
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(signed_off))
        signed = await hear_until(book, Signed)
        assert isinstance(signed, Signed)
    checkpoint = read_checkpoint(signed.payload, signed.signature)
    identity = await asyncio.to_thread(identity_at, identity_path(Path(store.where)))
    assert checkpoint.signer == identity.key.device


async def test_entry_goes_to_the_partner_and_its_acknowledgement_back(
    relay: Relay, store: Store
) -> None:
    (entry,) = notes(1)
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await join(clock, Seat.CLOCK)
        await say(book, sealed(entry))
        assert await hear_until(clock, Entries) == sealed(entry)
        durable = await hear_until(book, Durable)
        assert durable == Durable({BOOK.device: (Head(1, entry.digest),)})
        holder = Archive(GAME)
        await store.read_into(GAME, holder)
        assert list(holder.history) == [entry]


async def test_entry_is_passed_on_before_it_is_on_the_disk_and_acknowledged_after(
    tmp_path: Path, relay: Relay
) -> None:
    def hold_the_disk() -> sqlite3.Connection:
        held = sqlite3.connect(tmp_path / "store.db", check_same_thread=False)
        held.execute("BEGIN IMMEDIATE")
        return held

    (entry,) = notes(1)
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await join(clock, Seat.CLOCK)
        held = await asyncio.to_thread(hold_the_disk)
        await say(book, sealed(entry))
        assert await hear_until(clock, Entries) == sealed(entry)
        await say(book, Beat(0, 1, 7))
        while not isinstance(said := await hear(book), BeatBack):
            assert not isinstance(said, Durable)
        await asyncio.to_thread(held.close)
        await hear_until(book, Durable)


async def test_relay_started_again_knows_what_it_had(
    relay: Relay, store: Store
) -> None:
    entries = notes(3)
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(*entries))
        await hear_until(book, Durable)
    await relay.close()
    clock = MonotonicClock()
    async with (
        await serve(store, clock, TIMING, "127.0.0.1", 0) as again,
        dial(again) as book,
    ):
        await say(book, Hello(PROTOCOL, GAME, BOOK.device, Seat.BOOK, {}))
        welcome = await hear(book)
        assert isinstance(welcome, Welcome)
        assert welcome.durable == (Head(3, entries[2].digest),)
        assert await hear(book) == sealed(*entries)


async def test_beat_is_answered_by_the_relays_clock(store: Store) -> None:
    clock = VirtualClock(70_000)
    async with (
        await serve(store, clock, TIMING, "127.0.0.1", 0) as relay,
        dial(relay) as book,
    ):
        await join(book)
        await say(book, Beat(0, 0, 123))
        back = await hear_until(book, BeatBack)
        assert back == BeatBack(123, 70_000, 70_000, 0)


async def test_partner_that_falls_silent_is_told_in_two_seconds(store: Store) -> None:
    clock = VirtualClock(70_000)
    async with (
        await serve(store, clock, TIMING, "127.0.0.1", 0) as relay,
        dial(relay) as book,
        dial(relay) as partner,
    ):
        await join(book)
        await join(partner, Seat.CLOCK)
        clock.advance_to(71_000)
        await say(book, Beat(0, 0, 1))
        await hear_until(book, BeatBack)
        clock.advance_to(72_000)
        while True:
            presence = await hear_until(book, Presence)
            assert isinstance(presence, Presence)
            if presence.device == CLOCK.device and not presence.is_linked:
                break


WRONG_FRAMES: dict[str, tuple[bytes | str, str]] = {
    "empty": (b"", "malformed"),
    "text": ("hello", "malformed"),
    "no msgpack": (b"\xc1", "malformed"),
    "trailing bytes": (encode(Bye()) + b"\x00", "malformed"),
    "nested too deep": (b"\x91" * 1_000, "malformed"),
    "unknown kind": (msgpack.packb([99]), "malformed"),
    "wrong type": (msgpack.packb([8, "soon", 0, 0]), "malformed"),
    "not a device's": (encode(BeatBack(0, 0, 0, 0)), "unexpected"),
    "not an entry": (encode(Entries((Sealed(b"x", bytes(64)),))), "malformed_entry"),
    "a forged entry": (
        encode(Entries((Sealed(notes(1)[0].payload, bytes(64)),))),
        "bad_signature",
    ),
}


@pytest.mark.parametrize(
    ("frame", "code"), WRONG_FRAMES.values(), ids=WRONG_FRAMES.keys()
)
async def test_wrong_frame_is_refused_while_the_others_are_served(
    relay: Relay, frame: bytes | str, code: str
) -> None:
    async with dial(relay) as clock, dial(relay) as book:
        await join(clock, Seat.CLOCK)
        await join(book)
        await book.send(frame)
        refusal = await hear_until(book, Refusal)
        assert isinstance(refusal, Refusal)
        assert refusal.code == code
        with pytest.raises(ConnectionClosed):
            await hear(book)
        await say(clock, Beat(0, 0, 5))
        assert isinstance(await hear_until(clock, BeatBack), BeatBack)


@pytest.mark.parametrize(
    ("frame", "code"),
    [
        (b"", "malformed"),
        (encode(Beat(0, 0, 0)), "unexpected"),
        (msgpack.packb([1, [2, 0]]), "version"),
    ],
    ids=["empty", "no hello", "version 2.0"],
)
async def test_wrong_first_frame_is_refused(
    relay: Relay, frame: bytes, code: str
) -> None:
    async with dial(relay) as stranger:
        await stranger.send(frame)
        refusal = await hear(stranger)
        assert isinstance(refusal, Refusal)
        assert refusal.code == code
        with pytest.raises(ConnectionClosed):
            await hear(stranger)
    assert relay.games == 0


async def test_frame_over_64_kib_ends_the_connection_as_too_big(relay: Relay) -> None:
    async with dial(relay) as book:
        await join(book)
        await book.send(bytes(64 * 1024 + 1))
        await hear_all(book)
        assert book.close_code == 1009


async def test_who_does_not_say_hello_is_turned_away(store: Store) -> None:
    clock = VirtualClock(70_000)
    async with (
        await serve(store, clock, TIMING, "127.0.0.1", 0) as relay,
        dial(relay) as stranger,
    ):
        # The relay counts the time from when its own end of the handshake is done.
        await (await stranger.ping())
        clock.advance_to(72_000)
        await (await stranger.ping())
        clock.advance_to(75_000)
        refusal = await hear(stranger)
        assert refusal == Refusal("silence", "no hello has come within 5000 ms")


async def test_page_in_a_browser_can_not_connect(relay: Relay) -> None:
    with pytest.raises(InvalidStatus, match="HTTP 403"):
        await connect(relay.address, origin="http://example.org", proxy=None)  # type: ignore[arg-type]


async def test_compression_is_not_agreed_to(relay: Relay) -> None:
    async with connect(relay.address, compression="deflate", proxy=None) as socket:
        assert socket.protocol.extensions == []


async def test_game_is_loaded_when_asked_for_and_let_go_when_all_have_left(
    relay: Relay,
) -> None:
    assert relay.games == 0
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await join(clock, Seat.CLOCK)
        assert relay.games == 1
    await until(lambda: relay.games == 0)


async def test_damaged_game_is_read_as_far_as_it_goes_and_refilled_by_a_device(
    tmp_path: Path, relay: Relay, store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    await store.keep_sheet(GAME, SHEET)
    entries = notes(3)
    await store.append(GAME, entries)
    sql = "UPDATE entry SET payload = x'00' WHERE taken = 2"
    await asyncio.to_thread(meddle, tmp_path / "store.db", sql)
    async with dial(relay) as book:
        await say(book, Hello(PROTOCOL, GAME, BOOK.device, Seat.BOOK, {}))
        welcome = await hear(book)
        assert isinstance(welcome, Welcome)
        assert [head.number for head in welcome.durable] == [1]
        assert "stored entry 2 has been changed" in caplog.text
        await say(book, sealed(*entries))
        await hear_until(book, Durable)
    kept = Archive(GAME)
    await store.read_into(GAME, kept)
    assert list(kept.history) == entries


async def test_relay_that_stops_acknowledges_first_and_says_bye(
    relay: Relay,
) -> None:
    entries = notes(50)
    async with dial(relay) as book:
        await join(book)
        for entry in entries[:-1]:
            await say(book, sealed(entry))
        await say(book, sealed(entries[-1]), Beat(0, 50, 0))
        # The answer to what came last says that all before it has come.
        await hear_until(book, BeatBack)
        closing = asyncio.create_task(relay.close())
        heard = await hear_all(book)
        await closing
    assert heard[-1] == Bye()
    durables = [message for message in heard if isinstance(message, Durable)]
    assert durables[-1].heads[BOOK.device][0].number == 50


async def test_store_that_fails_stops_the_acknowledgements(
    tmp_path: Path, relay: Relay
) -> None:
    full = """
        CREATE TRIGGER full BEFORE INSERT ON entry
        BEGIN SELECT RAISE(FAIL, 'database or disk is full'); END
    """
    await asyncio.to_thread(meddle, tmp_path / "store.db", full)
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(*notes(1)))
        with pytest.raises(StorageError, match="database or disk is full"):
            await relay.wait_failed()
        closing = asyncio.create_task(relay.close())
        heard = await hear_all(book)
        await closing
    assert not any(isinstance(message, Durable) for message in heard)


async def test_who_catches_up_is_sent_what_the_disk_has(
    relay: Relay, store: Store
) -> None:
    entries = notes(3)
    await store.keep_sheet(GAME, SHEET)
    await store.append(GAME, entries[:2])
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await say(book, sealed(entries[2]))
        await hear_until(book, Durable)
        await join(clock, Seat.CLOCK)
        assert await hear_until(clock, Entries) == sealed(*entries)


async def test_relay_ends_rather_than_send_what_is_damaged_on_its_disk(
    tmp_path: Path, relay: Relay
) -> None:
    async with dial(relay) as book, dial(relay) as clock:
        await join(book)
        await say(book, sealed(*notes(3)))
        await hear_until(book, Durable)
        sql = "UPDATE entry SET payload = x'00' WHERE taken = 2"
        await asyncio.to_thread(meddle, tmp_path / "store.db", sql)
        await join(clock, Seat.CLOCK)
        with pytest.raises(StorageError, match="not all of game"):
            await relay.wait_failed()
        closing = asyncio.create_task(relay.close())
        heard = await hear_all(clock)
        await closing
    assert not any(isinstance(message, Entries) for message in heard)


async def test_port_that_is_taken_is_refused(relay: Relay, store: Store) -> None:
    port = int(relay.address.rpartition(":")[2])
    with pytest.raises(BadInputError, match="expected an address of this machine"):
        await serve(store, MonotonicClock(), TIMING, "127.0.0.1", port)


class Follower:
    """Notes what a relay's observer is told."""

    def __init__(self) -> None:
        self.entries: list[tuple[bytes, Entry]] = []
        self.presences: list[Presence] = []

    def entry_taken(self, game: bytes, entry: Entry) -> None:
        self.entries.append((game, entry))

    def presence_changed(self, game: bytes, presence: Presence) -> None:
        assert game == GAME
        self.presences.append(presence)


async def test_observer_is_told_of_entries_and_devices(relay: Relay) -> None:
    follower = Follower()
    relay.observe(follower)
    (entry,) = notes(1)
    async with dial(relay) as book:
        await join(book)
        await say(book, sealed(entry))
        await hear_until(book, Durable)
    assert follower.entries == [(GAME, entry)]
    assert follower.presences[0].is_linked


async def test_who_does_not_read_is_cut_off_and_nobody_waits_for_it(
    relay: Relay,
) -> None:
    host, _, port = relay.address.removeprefix("ws://").rpartition(":")
    slow = sockets.socket()
    slow.setsockopt(sockets.SOL_SOCKET, sockets.SO_RCVBUF, 4_096)
    slow.setblocking(False)  # noqa: FBT003 - the name of the argument can't be given
    await asyncio.get_running_loop().sock_connect(slow, (host, int(port)))
    watcher = await connect(
        relay.address, sock=slow, compression=None, proxy=None, max_queue=1
    )
    await say(watcher, Hello(PROTOCOL, GAME, CLOCK.device, None, {}))
    async with dial(relay) as book:
        await join(book)
        pen = Pen(BOOK, Seat.BOOK, GAME)
        text = "x" * 2_000
        for n in range(60):
            batch = [
                pen.write(Note(text), VectorClock(), n * 100 + m) for m in range(30)
            ]
            await say(book, sealed(*batch), Beat(0, 30 * (n + 1), n))
            await hear_until(book, BeatBack)
    heard = await hear_all(watcher)
    got = sum(len(m.entries) for m in heard if isinstance(m, Entries))
    assert 0 < got < 1_800


async def test_who_sends_too_much_is_read_no_further_until_it_is_taken(
    relay: Relay, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tablesync.rounds.MOST_UNREAD", 100)
    paused = 0
    read_on = Relay._read_on

    async def counted(self: Relay, socket: SeatSocket, side: RelaySide) -> None:
        nonlocal paused
        paused += 1
        assert not socket.transport.is_reading()
        await read_on(self, socket, side)

    monkeypatch.setattr(Relay, "_read_on", counted)
    async with dial(relay) as socket:
        await join(socket)
        for t1_ms in range(2_000):
            await say(socket, Beat(0, 0, t1_ms))
        heard = [await hear_until(socket, BeatBack) for _ in range(2_000)]
    assert [back.t1_ms for back in heard if isinstance(back, BeatBack)] == [
        *range(2_000)
    ]
    assert paused > 1
