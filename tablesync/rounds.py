"""The relay's rounds: what all connections have sent meanwhile is taken at once.

While one round is under way the frames of the next gather. So under load there is one
signature to verify for all that a device has sent since the last round, one commit and
one write for all that came of it; at a table's own pace a round is a single frame.
Verifying lets go of the interpreter's lock, so where there are many signatures a thread
helps the loop with them. The loop verifies too: it has nothing else to do for the
round, and the thread may have to wait for a processor. For a few, help would only cost
time.
"""

from __future__ import annotations

import asyncio
from collections import deque
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from tablesync.seal import is_sealed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from concurrent.futures import Future

    from tablesync.clock import Clock
    from tablesync.core.entries import Entry
    from tablesync.sync.intake import Arrivals, Batch
    from tablesync.sync.relay import RelaySide

__all__ = ["Rounds"]

MOST_UNREAD = 64 * 1024
"""Bytes of one connection that may wait for a round before no more are read."""
FEW = 4
"""So many signatures are verified sooner than a thread can be asked to."""


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
        self._verifier = ThreadPoolExecutor(1, "verifier")
        self._helped: asyncio.Task[None] | None = None

    def put(self, side: RelaySide, frame: bytes | str) -> bool:
        """Adds a frame to the next round.

        Returns:
            Whether with this frame the side has sent so much that no more is to be read
            of it until all is `taken`.
        """
        self._waiting.setdefault(side, []).append(frame)
        before = self._sizes.get(side, 0)
        self._sizes[side] = before + len(frame)
        self._begin_soon()
        return before <= MOST_UNREAD < before + len(frame)

    async def taken(self, side: RelaySide) -> None:
        """Waits until all that a side has sent has been taken."""
        while side in self._sizes:
            await self._over.wait()

    def close(self) -> None:
        """Ends the thread. No round may be under way."""
        self._verifier.shutdown()

    def _begin_soon(self) -> None:
        if not self._is_under_way:
            self._is_under_way = True
            asyncio.get_running_loop().call_soon(self._begin)

    def _begin(self) -> None:
        waiting, self._waiting = self._waiting, {}
        try:
            told = [(side, side.read(frames)) for side, frames in waiting.items()]
            batches = [batch for _, arrivals in told for batch in arrivals.batches()]
            unknown = deque((batch, batch.newest()) for batch in batches)
            is_helped = sum(len(newest) for _, newest in unknown) > FEW
            helping = self._verifier.submit(_vouch, unknown) if is_helped else None
            _vouch(unknown)
        except BaseException:
            self._end(waiting)
            raise
        if helping is None or helping.cancel():
            self._tell(told)
        else:
            self._helped = asyncio.create_task(self._tell_after(helping, told))

    async def _tell_after(
        self, helping: Future[None], told: list[tuple[RelaySide, Arrivals]]
    ) -> None:
        try:
            await asyncio.wrap_future(helping)
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


def _vouch(unknown: deque[tuple[Batch, list[Entry]]]) -> None:
    """Verifies the newest entries of one batch after another until none is left."""
    while True:
        try:
            batch, newest = unknown.popleft()
        except IndexError:
            # Between a look and a grasp another thread may have taken the last.
            return
        batch.is_vouched_for = all(map(is_sealed, newest))
