"""What two seats feel while strangers hold on to the relay.

    python -m tests.benchmarks.bench_strangers [--idle N] [--slow N] [--entries N]

The relay and the strangers are processes of their own. Idle strangers connect and say
nothing; slow ones begin a TLS handshake and send a byte of it a second. Whoever is cut
off comes again at once. They come from addresses of their own (127.0.x.x). Both seats
play in this process, over TLS; the latency is from an entry at one device until the
other holds it.
"""

from __future__ import annotations

import argparse
import asyncio
import subprocess
import sys
import tempfile
import time
from contextlib import AsyncExitStack
from pathlib import Path

from tablesync.admission.invitation import read_invitation
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Note, Seat
from tablesync.game_file import sheet_at
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing
from tests.benchmarks.servers import resident_kib

GAME_FILE = Path("scenarios/clean-quarter.jsonl")
FROM_ONE_ADDRESS = 10
BETWEEN_ENTRIES_S = 0.02
HELLO = bytes.fromhex("16030100c8010000c40303")
"""How a TLS handshake begins: enough to be waited for."""


async def stranger(number: int, port: int, pause_s: float | None) -> None:
    """Connects, and again whenever it is cut off; a slow one sends byte by byte."""
    host = number // FROM_ONE_ADDRESS
    source = (f"127.0.{1 + host // 200}.{1 + host % 200}", 0)
    while True:
        try:
            reader, writer = await asyncio.open_connection(
                "127.0.0.1", port, local_addr=source
            )
            for byte in HELLO * 100 if pause_s else b"":
                writer.write(bytes([byte]))
                await asyncio.sleep(pause_s or 0)
                if reader.at_eof() or writer.transport.is_closing():
                    break
            await reader.read()
            writer.close()
        except OSError:
            pass
        await asyncio.sleep(0.5)


async def strangers(port: int, idle: int, slow: int) -> None:
    """All of them, until this process is ended."""
    async with asyncio.TaskGroup() as group:
        for number in range(idle + slow):
            pause_s = None if number < idle else 1.0
            group.create_task(stranger(number, port, pause_s))
            await asyncio.sleep(0.001)


async def seated(folder: Path, text: str) -> DeviceSession:
    invitation = read_invitation(text)
    sheet = write_sheet(sheet_at(GAME_FILE))
    assert game_id(sheet) == invitation.game
    secret = (invitation.seat or "").encode().ljust(32, b".")
    claim = Claim(DeviceKey(secret), invitation.game, invitation.seat, sheet)
    journal = await Journal.create(folder / f"{invitation.seat}.journal", claim)
    session = await DeviceSession.open(journal, MonotonicClock(), Timing())
    await session.connect(text)
    await session.wait_for(lambda: session.is_quiet)
    return session


async def latencies_ms(
    book: DeviceSession, clock: DeviceSession, n: int
) -> list[float]:
    """From an entry at one seat until the other holds it, each way in turn."""
    found = []
    for number in range(n):
        here, there = (book, clock) if number % 2 else (clock, book)
        began = time.perf_counter()
        entry = await here.enter(Note(f"entry {number}"))
        await there.wait_for(lambda d=entry.digest, t=there: d in t.game.history)  # type: ignore[misc]
        found.append((time.perf_counter() - began) * 1_000)
        await asyncio.sleep(BETWEEN_ENTRIES_S)
    return sorted(found)


def shown(name: str, found: list[float]) -> float:
    p99 = found[int(len(found) * 0.99)]
    middle = found[len(found) // 2]
    print(f"{name}: median {middle:.1f} ms, p99 {p99:.1f} ms, worst {found[-1]:.1f} ms")
    return p99


async def measure(relay: subprocess.Popen[str], asked: argparse.Namespace) -> None:
    assert relay.stdout is not None
    texts: dict[Seat | None, str] = {}
    while len(texts) < 2:
        line = await asyncio.to_thread(relay.stdout.readline)
        if line.startswith("TABLESYNC:"):
            texts[read_invitation(line).seat] = line.strip()
    port = read_invitation(texts[Seat.BOOK]).relay.port
    async with AsyncExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        book, clock = [
            await stack.enter_async_context(await seated(folder, texts[seat]))
            for seat in (Seat.BOOK, Seat.CLOCK)
        ]
        await latencies_ms(book, clock, asked.entries // 4)
        before_kib = resident_kib(relay.pid)
        alone = shown("alone", await latencies_ms(book, clock, asked.entries))
        many = f"--strangers {port} --idle {asked.idle} --slow {asked.slow}"
        command = ("-m", "tests.benchmarks.bench_strangers", *many.split())
        crowd = await asyncio.create_subprocess_exec(
            sys.executable, *command, stderr=subprocess.DEVNULL
        )
        try:
            await asyncio.sleep(5)
            among = shown("among them", await latencies_ms(book, clock, asked.entries))
            grown = resident_kib(relay.pid) - before_kib
            print(f"ratio of p99: {among / alone:.2f}; relay grown by {grown} KiB")
            print(f"linked all the time: {book.is_linked and clock.is_linked}")
        finally:
            crowd.kill()
            await crowd.wait()


def main() -> None:
    parser = argparse.ArgumentParser(description="Two seats among strangers.")
    parser.add_argument("--idle", type=int, default=2_000)
    parser.add_argument("--slow", type=int, default=200)
    parser.add_argument("--entries", type=int, default=1_000)
    parser.add_argument("--strangers", type=int, metavar="PORT")
    asked = parser.parse_args()
    if asked.strangers:
        asyncio.run(strangers(asked.strangers, asked.idle, asked.slow))
        return
    with tempfile.TemporaryDirectory() as folder:
        command = f"-m tablesync relay --port 0 --store {folder}/relay.db --game"
        relay = subprocess.Popen(
            [sys.executable, *command.split(), str(GAME_FILE)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        try:
            asyncio.run(measure(relay, asked))
        finally:
            relay.terminate()
            relay.wait()


if __name__ == "__main__":
    main()
