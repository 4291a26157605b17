"""A device's session: on record first, sent when there is somebody to send it to."""

from __future__ import annotations

import asyncio
from contextlib import asynccontextmanager
from functools import partial
from random import Random
from typing import TYPE_CHECKING

import pytest
from websockets.asyncio.server import ServerConnection
from websockets.asyncio.server import serve as listen

from tablesync.client import DeviceSession, fetch_sheet
from tablesync.clock import VirtualClock
from tablesync.core.acts import Basket, Note, Points, Seat, Side
from tablesync.core.tally import PerSide
from tablesync.errors import (
    MissingEntriesError,
    SheetError,
    SilenceError,
    StorageError,
    UnreachableError,
    WrongSeatError,
)
from tablesync.journal import Journal
from tablesync.server import Relay, serve
from tablesync.store import Store
from tablesync.sync.intake import Archive
from tablesync.sync.timing import Timing
from tests.sync.table import GAME, KEYS, SHEET, claim_of
from tests.test_storage_contract import meddle

if TYPE_CHECKING:
    from collections.abc import AsyncIterator
    from pathlib import Path

TIMING = Timing(heartbeat_ms=1, silence_ms=2**40, hello_ms=2**40)
BOOK, CLOCK, SPARE, WATCHER, VISITING = KEYS
SEATS = {
    BOOK: Seat.BOOK,
    CLOCK: Seat.CLOCK,
    SPARE: Seat.CLOCK,
    WATCHER: None,
    VISITING: Seat.VISITING,
}


class Hall:
    """Devices and relays of one test, on one clock that stands still."""

    def __init__(self, folder: Path, timing: Timing = TIMING) -> None:
        self.folder = folder
        self.timing = timing
        self.clock = VirtualClock(1_000)

    @asynccontextmanager
    async def relay(self, name: str = "relay", port: int = 0) -> AsyncIterator[Relay]:
        async with (
            await Store.open(self.folder / f"{name}.db") as store,
            await serve(store, self.clock, self.timing, "127.0.0.1", port) as relay,
        ):
            yield relay

    async def device(
        self,
        number: int,
        clock: VirtualClock | None = None,
        judge_after_s: float = 0.0,
    ) -> DeviceSession:
        key = KEYS[number]
        path = self.folder / f"{number}.journal"
        if await asyncio.to_thread(path.exists):
            journal = await Journal.open(path)
        else:
            journal = await Journal.create(path, claim_of(key, SEATS[key]))
        return await DeviceSession.open(
            journal, clock or self.clock, self.timing, judge_after_s
        )


@pytest.fixture
def hall(tmp_path: Path) -> Hall:
    return Hall(tmp_path)


def is_quiet(session: DeviceSession) -> bool:
    return session.is_quiet


async def met(session: DeviceSession, entries: int) -> None:
    await session.wait_for(
        lambda: session.is_quiet and len(session.game.history) == entries
    )


async def test_what_one_enters_counts_at_both_and_on_the_relays_disk(
    hall: Hall,
) -> None:
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        await book.connect(relay.address)
        await clock.connect(relay.address)
        await book.enter(Basket(Side.HOME, "4", 2))
        await clock.enter(Points(Side.HOME, 2))
        await met(book, 2)
        await met(clock, 2)
        assert clock.game.tally(Seat.BOOK).score == PerSide(2, 0)
        assert book.game.tally(Seat.CLOCK).score == PerSide(2, 0)
        assert book.unacknowledged == clock.unacknowledged == 0
        assert {presence.seat for presence in book.presences()} == {
            Seat.BOOK,
            Seat.CLOCK,
        }


async def test_what_comes_can_be_seen_before_it_is_judged(hall: Hall) -> None:
    async with (
        hall.relay() as relay,
        await hall.device(0, judge_after_s=3_600.0) as book,
        await hall.device(1, judge_after_s=0.001) as clock,
    ):
        await book.connect(relay.address)
        await clock.connect(relay.address)
        await clock.enter(Points(Side.HOME, 2))
        await met(book, 1)
        assert book.game.tally(Seat.CLOCK).score == PerSide(2, 0)
        assert book.game.horizon_ms == 0
        await clock.wait_for(lambda: clock.game.horizon_ms > 0)


async def test_without_a_network_it_counts_and_is_sent_both_ways_later(
    hall: Hall,
) -> None:
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        for number in range(5):
            await book.enter(Note(f"book {number}"))
            await clock.enter(Note(f"clock {number}"))
        assert (len(book.game.history), book.unacknowledged) == (5, 5)
        await book.connect(relay.address)
        await clock.connect(relay.address)
        await met(book, 10)
        await met(clock, 10)
        assert list(book.game.history) == list(clock.game.history)


async def test_a_cut_link_is_taken_up_again_without_loss_or_repetition(
    hall: Hall,
) -> None:
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        for session in (book, clock):
            await session.connect(relay.address)
        await book.enter(Note("before"))
        await met(clock, 1)
        await clock.disconnect()
        assert not clock.is_connected
        assert not clock.is_linked
        await book.enter(Note("while it is cut"))
        await clock.enter(Note("on its own"))
        await clock.connect(relay.address)
        await met(clock, 3)
        await met(book, 3)


async def test_a_survivor_refills_a_relay_that_has_lost_its_store(hall: Hall) -> None:
    async with await hall.device(0) as book:
        async with (
            hall.relay("first") as relay,
            await hall.device(1) as clock,
            await hall.device(4) as visiting,
        ):
            for session in (book, clock, visiting):
                await session.connect(relay.address)
            await book.enter(Note("of the book"))
            await clock.enter(Note("of the clock"))
            await visiting.enter(Note("of the visitors' book"))
            await met(book, 3)
        # The other two have gone home, and their entries are still asked for.
        async with hall.relay("second") as relay:
            await book.connect(relay.address)
            await met(book, 3)
            async with await hall.device(3) as watcher:
                await watcher.connect(relay.address)
                await met(watcher, 3)
                assert list(watcher.game.history) == list(book.game.history)
        kept = Archive(GAME)
        async with await Store.open(hall.folder / "second.db") as store:
            await store.read_into(GAME, kept)
        assert list(kept.history) == list(book.game.history)


async def test_a_new_device_at_a_seat_gets_everything_and_goes_on(hall: Hall) -> None:
    async with hall.relay() as relay, await hall.device(0) as book:
        await book.connect(relay.address)
        async with await hall.device(1) as old:
            await old.connect(relay.address)
            await old.enter(Points(Side.AWAY, 3))
            await met(book, 1)
        async with await hall.device(2) as spare:
            await spare.connect(relay.address)
            await met(spare, 1)
            await spare.enter(Points(Side.AWAY, 2))
            await met(book, 2)
            assert book.game.tally(Seat.CLOCK).score == PerSide(0, 5)


async def test_it_keeps_trying_until_there_is_a_relay_again(hall: Hall) -> None:
    async with await hall.device(0) as book:
        async with hall.relay() as relay:
            address = relay.address
            keeping = asyncio.create_task(book.keep_connected(address, Random(3)))
            await book.wait_for(lambda: book.is_linked)
        await book.wait_for(lambda: not book.is_connected)
        await book.enter(Note("nobody there"))
        port = int(address.rpartition(":")[2])
        async with hall.relay(port=port):
            while not book.is_linked:
                hall.clock.advance_to(hall.clock.now_ms() + 100)
                await asyncio.sleep(0)
            await met(book, 1)
            assert book.unacknowledged == 0
            keeping.cancel()
            await asyncio.gather(keeping, return_exceptions=True)


async def test_a_session_goes_on_from_its_journal(hall: Hall) -> None:
    async with await hall.device(0) as book:
        first = await book.enter(Note("first"))
    async with await hall.device(0) as again:
        second = await again.enter(Note("second"))
        assert list(again.game.history) == [first, second]
        assert second.link == first.digest


async def test_another_seats_act_is_refused_and_leaves_no_trace(hall: Hall) -> None:
    async with await hall.device(1) as clock:
        with pytest.raises(WrongSeatError):
            await clock.enter(Basket(Side.HOME, "4", 2))
        entry = await clock.enter(Points(Side.HOME, 2))
        assert entry.id.number == 1


async def test_nobody_at_an_address_is_told_with_the_address(hall: Hall) -> None:
    async with await hall.device(0) as book:
        with pytest.raises(UnreachableError, match="no relay answers at ws://127"):
            await book.connect("ws://127.0.0.1:1")


def is_seen(session: DeviceSession, device: bytes) -> bool:
    """Whether the session takes a partner for linked."""
    return any(p.is_linked for p in session.presences() if p.device == device)


async def test_a_partner_that_falls_silent_is_seen_within_two_seconds(
    tmp_path: Path,
) -> None:
    hall = Hall(tmp_path, Timing())
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        # It hangs: its socket stays open, and its clock no longer moves.
        await hall.device(1, VirtualClock(1_000)) as clock,
    ):
        for session in (book, clock):
            await session.connect(relay.address)
            await session.wait_for(partial(is_quiet, session))
        await book.wait_for(lambda: is_seen(book, CLOCK.device))
        hall.clock.advance_to(2_000)
        await book.wait_for(lambda: book.relay_heard_ms == 2_000 and book.is_quiet)
        assert is_seen(book, CLOCK.device)
        hall.clock.advance_to(3_000)
        await book.wait_for(lambda: not is_seen(book, CLOCK.device))
        assert book.is_linked


async def test_a_partner_whose_cable_is_pulled_is_seen_at_once(hall: Hall) -> None:
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        for session in (book, clock):
            await session.connect(relay.address)
        await book.wait_for(lambda: is_seen(book, CLOCK.device))
        await clock.disconnect()
        await book.wait_for(lambda: not is_seen(book, CLOCK.device))


@asynccontextmanager
async def silent_relay() -> AsyncIterator[str]:
    """Takes connections and says nothing, ever."""

    async def listens(socket: ServerConnection) -> None:
        async for _ in socket:
            pass

    async with listen(listens, "127.0.0.1", 0) as server:
        yield f"ws://127.0.0.1:{server.sockets[0].getsockname()[1]}"


async def test_a_relay_that_says_nothing_is_given_up(tmp_path: Path) -> None:
    hall = Hall(tmp_path, Timing())
    async with silent_relay() as address, await hall.device(0) as book:
        await book.connect(address)
        hall.clock.advance_to(1_000 + hall.timing.hello_ms)
        await book.wait_for(lambda: not book.is_connected)
        assert isinstance(book.trouble, SilenceError)


async def test_nobody_waits_for_ever_for_a_sheet(hall: Hall) -> None:
    timing = Timing()
    async with silent_relay() as address:
        claim = claim_of(SPARE, None, sheet=None)
        fetching = asyncio.create_task(fetch_sheet(address, claim, hall.clock, timing))
        while not fetching.done():
            hall.clock.advance_to(hall.clock.now_ms() + 1_000)
            await asyncio.sleep(0)
        with pytest.raises(SilenceError, match="the relay has been silent for"):
            await fetching


async def test_a_new_connection_takes_the_place_of_the_old_one(hall: Hall) -> None:
    async with (
        hall.relay("first") as first,
        hall.relay("second") as second,
        await hall.device(0) as book,
    ):
        for relay in (first, second, second):
            await book.connect(relay.address)
            await book.enter(Note("wherever it is"))
            await book.wait_for(lambda: book.is_quiet)
            assert book.is_connected
        assert book.trouble is None


async def test_a_journal_that_can_not_be_written_stops_the_pen(hall: Hall) -> None:
    async with await hall.device(0):
        pass
    full = """
        CREATE TRIGGER full BEFORE INSERT ON entry
        BEGIN SELECT RAISE(FAIL, 'database or disk is full'); END
    """
    await asyncio.to_thread(meddle, hall.folder / "0.journal", full)
    async with (
        hall.relay() as relay,
        await hall.device(0) as book,
        await hall.device(1) as clock,
    ):
        for session in (book, clock):
            await session.connect(relay.address)
            await session.wait_for(partial(is_quiet, session))
        with pytest.raises(StorageError, match="database or disk is full"):
            await book.enter(Basket(Side.HOME, "4", 2))
        with pytest.raises(StorageError, match="database or disk is full"):
            await book.enter(Basket(Side.HOME, "4", 2))
        # What is not on the disk does not count, here or elsewhere.
        await clock.enter(Points(Side.HOME, 2))
        await met(clock, 1)
        assert book.game.tally(Seat.BOOK).score == PerSide(0, 0)


async def test_a_damaged_journal_is_read_as_far_as_it_goes_and_refilled(
    hall: Hall,
) -> None:
    async with hall.relay() as relay:
        async with await hall.device(0) as book:
            await book.connect(relay.address)
            for number in range(3):
                await book.enter(Note(str(number)))
            await met(book, 3)
        sql = "UPDATE entry SET payload = x'00' WHERE taken = 2"
        await asyncio.to_thread(meddle, hall.folder / "0.journal", sql)
        async with await hall.device(0) as book:
            assert "stored entry 2 has been changed" in str(book.damage)
            assert len(book.game.history) == 1
            with pytest.raises(MissingEntriesError, match="must first have that back"):
                await book.enter(Note("too soon"))
            await book.connect(relay.address)
            await met(book, 3)
            await book.enter(Note("3"))
            await met(book, 4)
            assert book.game.history.forks() == ()
    async with await hall.device(0) as book:
        assert book.damage is None
        assert len(book.game.history) == 4


async def test_a_device_without_the_sheet_asks_the_relay_for_it(hall: Hall) -> None:
    async with hall.relay() as relay, await hall.device(0) as book:
        await book.connect(relay.address)
        await book.wait_for(lambda: book.is_quiet)
        claim = claim_of(SPARE, None, sheet=None)
        sheet = await fetch_sheet(relay.address, claim, hall.clock, TIMING)
        assert sheet == SHEET


async def test_a_journal_without_a_sheet_opens_no_session(hall: Hall) -> None:
    path = hall.folder / "bare.journal"
    journal = await Journal.create(path, claim_of(SPARE, Seat.CLOCK, sheet=None))
    with pytest.raises(SheetError):
        await DeviceSession.open(journal, hall.clock, TIMING)
