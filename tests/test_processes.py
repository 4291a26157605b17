"""Real processes, killed without warning: what was acknowledged is still there."""

from __future__ import annotations

import asyncio
import signal
import socket
import sys
from contextlib import asynccontextmanager
from functools import partial
from random import Random
from typing import TYPE_CHECKING

import pytest

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Note, Seat
from tablesync.journal import Journal
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.intake import Archive
from tablesync.sync.timing import Timing
from tests.device_process import CLAIM
from tests.sync.table import GAME, KEYS, claim_of

if TYPE_CHECKING:
    from asyncio.subprocess import Process
    from collections.abc import AsyncIterator
    from pathlib import Path

pytestmark = pytest.mark.processes

ENTRIES = 200


def free_port() -> int:
    with socket.socket() as bound:
        bound.bind(("127.0.0.1", 0))
        port: int = bound.getsockname()[1]
        return port


async def start(*arguments: str) -> Process:
    return await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        *arguments,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
    )


async def start_relay(port: int, store: Path) -> Process:
    relay = await start(
        "tablesync", "relay", "--insecure", "--port", str(port), "--store", str(store)
    )
    assert relay.stderr is not None
    assert b"listens at" in await relay.stderr.readline()
    return relay


async def kill(process: Process) -> None:
    process.kill()
    await process.communicate()


@asynccontextmanager
async def seated(
    folder: Path, seat: Seat, address: str
) -> AsyncIterator[DeviceSession]:
    """A device that keeps itself connected."""
    key = KEYS[0 if seat is Seat.BOOK else 1]
    journal = await Journal.create(folder / f"{seat}.journal", claim_of(key, seat))
    async with await DeviceSession.open(journal, MonotonicClock(), Timing()) as session:
        keeping = asyncio.create_task(session.keep_connected(address, Random(7)))
        try:
            yield session
        finally:
            keeping.cancel()
            await asyncio.gather(keeping, return_exceptions=True)


def is_linked(session: DeviceSession) -> bool:
    return session.is_linked


def has_everything(session: DeviceSession) -> bool:
    return session.is_quiet and len(session.game.history) == 2 * ENTRIES


async def stream(session: DeviceSession, acknowledged: list[int]) -> None:
    """Enters one act after the other, and notes what has been acknowledged."""
    for number in range(1, ENTRIES + 1):
        await session.enter(Note(f"entry {number}"))
        acknowledged.append(number - session.unacknowledged)


async def test_relay_killed_while_entries_stream_in_loses_none_that_it_acknowledged(
    tmp_path: Path,
) -> None:
    port, store = free_port(), tmp_path / "relay.db"
    address = f"ws://127.0.0.1:{port}"
    relay = await start_relay(port, store)
    async with (
        seated(tmp_path, Seat.BOOK, address) as book,
        seated(tmp_path, Seat.CLOCK, address) as clock,
    ):
        sessions = (book, clock)
        for session in sessions:
            await session.wait_for(partial(is_linked, session))
        safe: tuple[list[int], list[int]] = ([], [])
        streaming = [
            asyncio.create_task(stream(*pair))
            for pair in zip(sessions, safe, strict=True)
        ]
        await book.wait_for(lambda: max(safe[0], default=0) >= ENTRIES // 4)
        await kill(relay)
        await asyncio.gather(*streaming)

        kept = Archive(GAME)
        async with await Store.open(store) as opened:
            await opened.read_into(GAME, kept)
        for numbers, key in zip(safe, KEYS, strict=False):
            assert max(numbers) <= kept.history.have()[key.device]
        assert book.unacknowledged > 0

        relay = await start_relay(port, store)
        for session in sessions:
            await session.wait_for(partial(has_everything, session))
        assert list(book.game.history) == list(clock.game.history)
        assert book.unacknowledged == clock.unacknowledged == 0
    await kill(relay)


async def test_device_killed_in_mid_game_goes_on_from_its_journal(
    tmp_path: Path,
) -> None:
    clock, timing = MonotonicClock(), Timing()
    journal = tmp_path / "process.journal"
    async with (
        await Store.open(tmp_path / "relay.db") as store,
        await serve(store, clock, timing, "127.0.0.1", 0) as relay,
        seated(tmp_path, Seat.BOOK, relay.address) as partner,
    ):
        device = await start("tests.device_process", str(journal), relay.address)
        assert device.stdout is not None
        entered = [
            (await device.stdout.readline()).decode().split()[1] for _ in range(ENTRIES)
        ]
        await kill(device)

        device = await start("tests.device_process", str(journal), relay.address)
        assert device.stdout is not None
        kept: list[str] = []
        while (line := (await device.stdout.readline()).decode()).startswith("has"):
            kept.append(line.split()[1])
        assert set(entered) <= set(kept)
        await kill(device)

        known = [e for e in partner.game.history if e.id.device == CLAIM.key.device]
        assert [entry.id.number for entry in known] == list(range(1, len(known) + 1))
        await partner.wait_for(
            lambda: {e.digest.hex() for e in partner.game.history} >= set(kept)
        )
        assert partner.game.history.forks() == ()


async def test_ctrl_c_ends_the_relay_cleanly(tmp_path: Path) -> None:
    relay = await start_relay(free_port(), tmp_path / "relay.db")
    relay.send_signal(signal.SIGINT)
    _, said = await relay.communicate()
    assert relay.returncode == 0
    assert b"what has arrived is stored" in said
