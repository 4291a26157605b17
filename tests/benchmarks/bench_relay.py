"""Memory of a relay for each idle game, and entries a second through one pair.

    python -m tests.benchmarks.bench_relay [--games N] [--entries N]

The relay is a process of its own; its memory is read from /proc.
"""

from __future__ import annotations

import argparse
import asyncio
import subprocess
import sys
import tempfile
import time
from contextlib import AsyncExitStack
from dataclasses import replace
from pathlib import Path

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Note, Seat
from tablesync.journal import Journal
from tablesync.scenario import read_scenario
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing

SHEET = read_scenario(Path("scenarios/clean-quarter.jsonl")).sheet


def resident_kib(pid: int) -> int:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS"):
            return int(line.split()[1])
    raise LookupError(pid)


async def seated(folder: Path, game: int, seat: Seat, address: str) -> DeviceSession:
    sheet = write_sheet(replace(SHEET, mark=str(game)))
    key = DeviceKey(game.to_bytes(31, "big") + (b"b" if seat is Seat.BOOK else b"c"))
    path = folder / f"{game}-{seat}.journal"
    journal = await Journal.create(path, Claim(key, game_id(sheet), seat, sheet))
    session = await DeviceSession.open(journal, MonotonicClock(), Timing())
    await session.connect(address)
    await session.wait_for(lambda: session.is_quiet)
    return session


async def measure(pid: int, address: str, games: int, entries: int) -> None:
    async with AsyncExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        sessions = []

        async def add(game: int) -> None:
            for seat in (Seat.BOOK, Seat.CLOCK):
                session = await seated(folder, game, seat, address)
                sessions.append(await stack.enter_async_context(session))

        await add(0)
        before = resident_kib(pid)
        for game in range(1, games + 1):
            await add(game)
        each = (resident_kib(pid) - before) / games
        print(f"{games} idle games, both seats linked: {each:.0f} KiB each")

        book, clock = sessions[:2]
        began = time.perf_counter()
        for _ in range(entries):
            await book.enter(Note("x"))
        await book.wait_for(lambda: book.unacknowledged == 0)
        await clock.wait_for(lambda: len(clock.game.history) == entries)
        rate = entries / (time.perf_counter() - began)
        print(f"{rate:.0f} entries/s from journal to journal, one pair, one at a time")
        running = resident_kib(pid)
        print(f"relay in all: {running} KiB")


def main() -> None:
    parser = argparse.ArgumentParser(description="A relay's memory and pace.")
    parser.add_argument("--games", type=int, default=100)
    parser.add_argument("--entries", type=int, default=600)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store = f"{folder}/relay.db"
        relay = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "tablesync",
                "relay",
                "--insecure",
                "--port",
                "0",
                "--store",
                store,
            ],
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            assert relay.stderr is not None
            address = relay.stderr.readline().split()[4]
            asyncio.run(measure(relay.pid, address, asked.games, asked.entries))
        finally:
            relay.terminate()
            relay.wait()


if __name__ == "__main__":
    main()
