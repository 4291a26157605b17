"""Kills a relay and a device again and again under load, and counts what is lost.

    python -m tests.benchmarks.bench_kills [--relays N] [--devices N] [--seed S]

Each is killed with SIGKILL at every fault point in turn, at a time drawn by lot. What
had been acknowledged by then must be in the relay's store, and what had been entered in
the device's journal. Now and then the process is stopped for a while (SIGSTOP) before
it comes to its end.
"""

from __future__ import annotations

import argparse
import asyncio
import logging
import signal
import subprocess
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from itertools import cycle, islice
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import Note, Seat
from tablesync.fault_points import AT_ENTRIES, FaultPoint
from tablesync.journal import Journal
from tablesync.server import serve
from tablesync.store import Store
from tablesync.sync.intake import Archive
from tablesync.sync.timing import Timing
from tests.sync.table import GAME, KEYS, claim_of
from tests.test_processes import free_port

if TYPE_CHECKING:
    from collections.abc import Sequence

KILLS_A_GAME = 20
"""A new game begins after so many, so that none grows beyond measure."""
STOPPED = 0.2
"""So many of them are stopped for a while, from 0 to 1."""
STOPPED_S = 0.3


@dataclass
class Loss:
    """What the kills have come to."""

    kills: Counter[str] = field(default_factory=Counter)
    stops: int = 0
    entries: int = 0
    promised: int = 0
    lost: int = 0
    forks: int = 0

    def tell(self, who: str) -> None:
        where = ", ".join(f"{n} {point}" for point, n in self.kills.items())
        print(f"{self.kills.total()} kills of {who} ({where})")
        print(f"  {self.entries} entries, {self.stops} times stopped for a while")
        print(f"  {self.promised} promised when the kills came, {self.lost} lost")
        print(f"  {self.forks} forks")


@dataclass(frozen=True)
class Trap:
    """Where a process is to be killed, and at which time that it comes there."""

    point: FaultPoint
    count: int


def drawn(kills: int, random: Random) -> list[Trap]:
    """Every fault point in turn."""
    points = islice(cycle(AT_ENTRIES), kills)
    return [Trap(point, random.randint(1, 60)) for point in points]


async def start(*arguments: str) -> asyncio.subprocess.Process:
    return await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        *arguments,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


async def kept_in(store: Path) -> Archive:
    kept = Archive(GAME)
    async with await Store.open(store) as opened:
        await opened.read_into(GAME, kept)
    return kept


async def enter_on(session: DeviceSession, safe: set[bytes]) -> None:
    """Enters one act after the other, and notes what has been acknowledged."""
    while True:
        await session.enter(Note("on record"))
        note_safe(session, safe)
        await asyncio.sleep(0.002)


def note_safe(session: DeviceSession, safe: set[bytes]) -> None:
    own = [e for e in session.game.history if e.seat is session.seat]
    safe |= {e.digest for e in own[: len(own) - session.unacknowledged]}


async def kill_relays(
    traps: Sequence[Trap], folder: Path, random: Random, loss: Loss
) -> None:
    """One game: two devices enter, and the relay is killed again and again."""
    store, port = folder / "relay.db", free_port()
    sessions = [await seated(folder, n) for n in range(2)]
    safe: set[bytes] = set()
    kept = Archive(GAME)
    tasks = [
        asyncio.create_task(task)
        for session in sessions
        for task in (
            session.keep_connected(f"ws://127.0.0.1:{port}", random),
            enter_on(session, safe),
        )
    ]
    for trap in traps:
        where = trap.point, str(trap.count)
        relay = await start("tests.relay_process", str(port), str(store), *where)
        if random.random() < STOPPED:
            await asyncio.sleep(1)
            loss.stops += await suspend(relay)
        await asyncio.wait_for(relay.communicate(), 60)
        assert relay.returncode == -signal.SIGKILL, relay.returncode
        loss.kills[trap.point] += 1
        kept = await kept_in(store)
        for session in sessions:
            note_safe(session, safe)
        loss.lost += sum(digest not in kept.history for digest in safe)
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)
    loss.entries += len(sessions[0].game.history)
    loss.promised += len(safe)
    loss.forks += len(kept.history.forks())
    for session in sessions:
        await session.close()


async def suspend(process: asyncio.subprocess.Process) -> bool:
    """Stops a process for a while, if it still runs."""
    try:
        process.send_signal(signal.SIGSTOP)
        await asyncio.sleep(STOPPED_S)
        process.send_signal(signal.SIGCONT)
    except ProcessLookupError:
        # It had come to its end already.
        return False
    return True


async def seated(folder: Path, number: int) -> DeviceSession:
    seat = (Seat.BOOK, Seat.CLOCK)[number]
    claim = claim_of(KEYS[number], seat)
    journal = await Journal.create(folder / f"{number}.journal", claim)
    return await DeviceSession.open(journal, MonotonicClock(), Timing())


async def kill_devices(
    traps: Sequence[Trap], folder: Path, random: Random, loss: Loss
) -> None:
    """One game: a device enters, and is killed again and again."""
    clock = MonotonicClock()
    path = folder / "device.journal"
    entered: set[str] = set()
    async with (
        await Store.open(folder / "relay.db") as store,
        await serve(store, clock, Timing(), "127.0.0.1", 0) as relay,
        await seated(folder, 0) as partner,
    ):
        await partner.connect(relay.address)
        for kill, trap in enumerate(traps):
            where = relay.address, trap.point, str(trap.count)
            device = await start("tests.device_process", str(path), *where)
            if random.random() < STOPPED:
                await asyncio.sleep(1)
                loss.stops += await suspend(device)
            said, _ = await asyncio.wait_for(device.communicate(), 60)
            assert device.returncode == -signal.SIGKILL, device.returncode
            loss.kills[trap.point] += 1
            lines = [line.split() for line in said.decode().splitlines()]
            has = {what for word, what in lines if word == "has"}
            if kill:
                loss.lost += len(entered - has)
            entered |= {what for word, what in lines if word == "entered"}
        kept = Archive(GAME)
        async with await Journal.open(path) as journal:
            await journal.read_into(kept)
        loss.lost += len(entered - {e.digest.hex() for e in kept.history})
        loss.forks += len(partner.game.history.forks())
        loss.entries += len(partner.game.history)
    loss.promised += len(entered)


async def measure(relays: int, devices: int, seed: int) -> int:
    random, lost = Random(seed), 0
    for who, kills, kill in (
        ("a relay", relays, kill_relays),
        ("a device", devices, kill_devices),
    ):
        loss = Loss()
        while loss.kills.total() < kills:
            left = kills - loss.kills.total()
            traps = drawn(min(left, KILLS_A_GAME), random)
            with tempfile.TemporaryDirectory() as folder:
                await kill(traps, Path(folder), random, loss)
            print(f"{loss.kills.total()} of {kills}", file=sys.stderr, flush=True)
        loss.tell(who)
        lost += loss.lost
    return lost


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--relays", type=int, default=200)
    parser.add_argument("--devices", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    # That a socket is dead is no news here.
    logging.getLogger("asyncio").setLevel(logging.ERROR)
    lost = asyncio.run(measure(arguments.relays, arguments.devices, arguments.seed))
    sys.exit(1 if lost else 0)


if __name__ == "__main__":
    main()
