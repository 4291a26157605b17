"""The relay's rounds: what all connections have sent meanwhile is taken at once.

While one round is under way the frames of the next gather. So under load there is one
signature to verify for all that a device has sent since the last round, one commit and
one write for all that came of it; at a table's own pace a round is a single frame.
Verifying lets go of the interpreter's lock, so many signatures are verified by threads
beside the loop; for a few that would only cost time.
"""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from tablesync.seal import is_sealed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from tablesync.clock import Clock
    from tablesync.core.entries import Entry
    from tablesync.sync.intake import Arrivals, Batch
    from tablesync.sync.relay import RelaySide

__all__ = ["Rounds"]

MOST_UNREAD = 64 * 1024
"""Bytes of one connection that may wait for a round before no more are read."""
FEW = 4
"""So many signatures are verified sooner than a thread can be asked to."""
THREADS = 2


class Rounds:
    """The frames that wait, and the round that is under way."""

    def __init__(
        self, clock: Clock, settle: Callable[[Sequence[RelaySide]], None]
    ) -> None:
        """Calls `settle` with the sides that a round has told something."""
        self._clock = clock
        self._settle = settle
        self._waiting: dict[RelaySide, list[bytes | str]] = {}
        self._sizes: dict[RelaySide, int] = {}
        self._is_under_way = False
        self._over = asyncio.Event()
        self._verifiers = ThreadPoolExecutor(THREADS, "verifier")
        self._verifying: asyncio.Task[None] | None = None

    async def put(self, side: RelaySide, frame: bytes | str) -> None:
        """Adds a frame to the next round; waits where the side has sent a lot."""
        self._waiting.setdefault(side, []).append(frame)
        size = self._sizes.get(side, 0) + len(frame)
        self._sizes[side] = size
        self._begin_soon()
        if size > MOST_UNREAD:
            await self.taken(side)

    async def taken(self, side: RelaySide) -> None:
        """Waits until all that a side has sent has been taken."""
        while side in self._sizes:
            await self._over.wait()

    def close(self) -> None:
        """Ends the threads. No round may be under way."""
        self._verifiers.shutdown()

    def _begin_soon(self) -> None:
        if not self._is_under_way:
            self._is_under_way = True
            asyncio.get_running_loop().call_soon(self._begin)

    def _begin(self) -> None:
        waiting, self._waiting = self._waiting, {}
        told: list[tuple[RelaySide, Arrivals]] = []
        try:
            told += [(side, side.read(frames)) for side, frames in waiting.items()]
            batches = [batch for _, arrivals in told for batch in arrivals.batches()]
            newest = [batch.newest() for batch in batches]
            if sum(map(len, newest)) > FEW:
                self._verifying = asyncio.create_task(
                    self._verify(told, batches, newest)
                )
                return
            _vouch(batches, newest)
        except BaseException:
            self._end(waiting)
            raise
        self._tell(told)

    async def _verify(
        self,
        told: list[tuple[RelaySide, Arrivals]],
        batches: list[Batch],
        newest: list[list[Entry]],
    ) -> None:
        loop = asyncio.get_running_loop()
        parts = [(batches[n::THREADS], newest[n::THREADS]) for n in range(THREADS)]
        try:
            await asyncio.gather(
                *(loop.run_in_executor(self._verifiers, _vouch, *p) for p in parts)
            )
        finally:
            self._tell(told)

    def _tell(self, told: list[tuple[RelaySide, Arrivals]]) -> None:
        now_ms = self._clock.now_ms()
        try:
            for side, arrivals in told:
                side.receive(arrivals, now_ms)
            self._settle([side for side, _ in told])
        finally:
            self._end(side for side, _ in told)

    def _end(self, sides: Iterable[RelaySide]) -> None:
        """Lets the next round begin, whatever became of this one."""
        for side in sides:
            if side not in self._waiting:
                del self._sizes[side]
        self._over.set()
        self._over = asyncio.Event()
        self._is_under_way = False
        if self._waiting:
            self._begin_soon()


def _vouch(batches: Sequence[Batch], newest: Sequence[Sequence[Entry]]) -> None:
    for batch, entries in zip(batches, newest, strict=True):
        batch.is_vouched_for = all(map(is_sealed, entries))
