"""What two officials wait for: from an entry on one device to the other's check.

Both devices are whole sessions with journals, in one process beside the relay's. What
is entered is on its own device's disk before it is sent, and has been verified, folded
and checked by the other when it counts as seen.
"""

from __future__ import annotations

import asyncio
import tempfile
import time
from contextlib import AsyncExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.core.acts import ClockStart, ClockStop, Seat
from tablesync.journal import Journal
from tablesync.sync.timing import Timing
from tests.benchmarks.figures import Figure, Goal, percentile
from tests.benchmarks.link_figures import lone_commits_s, raw_forwarding
from tests.benchmarks.pairs import claim_of
from tests.benchmarks.servers import relay

if TYPE_CHECKING:
    from tests.benchmarks.servers import Running

__all__ = ["sessions"]

RATE = 20
ENTRIES = 100


async def _seated(folder: Path, seat: Seat, running: Running) -> DeviceSession:
    journal = await Journal.create(folder / f"{seat}.journal", claim_of(0, seat))
    session = await DeviceSession.open(journal, MonotonicClock(), Timing())
    await session.connect(f"ws://127.0.0.1:{running.port}")
    await session.wait_for(lambda: session.is_quiet)
    return session


async def _waits_s(running: Running) -> tuple[list[float], list[float]]:
    """How long each entry took to the other's check, and to be acknowledged."""
    seen_s, acked_s = [], []
    async with AsyncExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        clock = await _seated(folder, Seat.CLOCK, running)
        await stack.enter_async_context(clock)
        book = await _seated(folder, Seat.BOOK, running)
        await stack.enter_async_context(book)
        for turn in range(ENTRIES):
            await asyncio.sleep(1 / RATE)
            held = len(book.game.history)
            began = time.perf_counter()
            clock.write(ClockStop() if turn % 2 else ClockStart())
            await book.wait_for(lambda held=held: len(book.game.history) > held)  # type: ignore[misc]
            seen_s.append(time.perf_counter() - began)
            await clock.wait_for(lambda: not clock.unacknowledged)
            acked_s.append(time.perf_counter() - began)
    return seen_s, acked_s


def sessions(rounds: int) -> list[Figure]:
    """At a table's pace, beside what even a device that does nothing else waits for."""
    limit_is = "raw forwarding and one commit, medians"
    median = Figure("entered, to the other's check, median", "µs", limit_is, Goal.NONE)
    late = Figure(
        "entered, to the other's check, 99th percentile", "µs", "none", Goal.NONE
    )
    acked = Figure("entered, to the acknowledgement, median", "µs", "none", Goal.NONE)
    for _ in range(rounds):
        bare = raw_forwarding(1, RATE)
        commits_s = lone_commits_s(RATE)
        with relay() as running:
            seen_s, acked_s = asyncio.run(_waits_s(running))
        limit_s = percentile(bare.seen_s, 50) + percentile(commits_s, 50)
        median.note(percentile(seen_s, 50) * 1e6, limit_s * 1e6)
        late.note(percentile(seen_s, 99) * 1e6)
        acked.note(percentile(acked_s, 50) * 1e6)
    return [median, late, acked]
