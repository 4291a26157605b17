"""From two seats and a relay to a record file that stands by itself."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.client import DeviceSession
from tablesync.clock import VirtualClock
from tablesync.core.acts import Basket, Points, Seat, Side, Signer, SignOff
from tablesync.journal import Journal
from tablesync.record.assurance import not_shown, shown
from tablesync.record.file import read_record, write_record
from tablesync.record.verification import examine, open_record
from tablesync.server import serve
from tablesync.store import Store
from tablesync.stored_games import export_game, import_record
from tablesync.sync.timing import Timing
from tests.sync.table import GAME, KEYS, claim_of

if TYPE_CHECKING:
    from pathlib import Path

TIMING = Timing(heartbeat_ms=1, silence_ms=2**40, hello_ms=2**40)
BOOK, CLOCK = KEYS[:2]


async def quiet_with(session: DeviceSession, entries: int) -> None:
    await session.wait_for(
        lambda: session.is_quiet and len(session.game.history) == entries
    )


async def played(folder: Path) -> bytes:
    """A short game through a relay, signed by the scorer, as its record file."""
    clock = VirtualClock(1_000)
    async with await Store.open(folder / "relay.db") as store:
        relay = await serve(store, clock, TIMING, "127.0.0.1", 0)
        sessions = []
        for key, seat in ((BOOK, Seat.BOOK), (CLOCK, Seat.CLOCK)):
            path = folder / f"{seat}.journal"
            journal = await Journal.create(path, claim_of(key, seat))
            session = await DeviceSession.open(journal, clock, TIMING)
            await session.connect(relay.address)
            await quiet_with(session, 0)
            sessions.append(session)
        book, timer = sessions
        for _ in range(5):
            await book.enter(Basket(Side.HOME, "4", 2))
            await timer.enter(Points(Side.HOME, 2))
        for session in sessions:
            await quiet_with(session, 10)
        await book.enter(SignOff(Signer.SCORER, "A. Name"))
        for session in sessions:
            await quiet_with(session, 11)
        # Whatever a device has said before its bye has been read when it is gone.
        for session in sessions:
            await session.close()
        await relay.close()
        await store.settled()
        return await export_game(store, GAME)


async def test_at_sign_off_both_devices_and_the_relay_sign_the_whole_record(
    tmp_path: Path,
) -> None:
    data = await played(tmp_path)
    examined = examine(data)
    assert examined.is_sound
    assert examined.opened is not None
    last = examined.opened.record.checkpoints[-1]
    assert last.checkpoint.head.size == len(examined.opened.entries) == 11
    assert {one.device for one in last.countersignatures} == {
        BOOK.device,
        CLOCK.device,
    }
    assert any("2 devices countersigned" in one for one in shown(examined.opened))
    assert not any("countersign" in one for one in not_shown(examined.opened))


async def test_record_with_checkpoints_is_the_same_bytes_from_another_store(
    tmp_path: Path,
) -> None:
    data = await played(tmp_path)
    async with await Store.open(tmp_path / "other.db") as other:
        assert await import_record(other, open_record(data)) == 11
        assert await export_game(other, GAME) == data


async def test_relay_that_leaves_the_last_entry_out_is_found(tmp_path: Path) -> None:
    record = read_record(await played(tmp_path))
    short = replace(record, entries=record.entries[:-1])
    (fault, *_) = examine(write_record(short)).faults
    assert "1 of the 11 entries signed for lack" in str(fault)
