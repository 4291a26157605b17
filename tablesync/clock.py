"""The clocks by which the shells wait: a real one, and one that a play moves on."""

from __future__ import annotations

import asyncio
import time
from heapq import heappop, heappush
from itertools import count
from typing import Protocol

__all__ = ["Clock", "MonotonicClock", "VirtualClock"]


class Clock(Protocol):
    """Tells the time and waits for it."""

    def now_ms(self) -> int:
        """The time now, never less than before."""

    async def sleep_until(self, ms: int) -> None:
        """Returns when the clock shows `ms`, at once where it already does."""


class MonotonicClock:
    """The machine's clock, which starts at the wall's time and then never jumps.

    A device that has not met the relay yet has no better guess of table time than the
    wall's, so both begin there. Setting the wall's clock later changes nothing.
    """

    def __init__(self) -> None:
        self._start_ns = time.time_ns() - time.monotonic_ns()

    def now_ms(self) -> int:
        """Milliseconds since 1970 by the wall as it stood when the clock was made."""
        return (self._start_ns + time.monotonic_ns()) // 1_000_000

    async def sleep_until(self, ms: int) -> None:
        """Returns when the clock shows `ms`, at once where it already does."""
        await asyncio.sleep(max(0, ms - self.now_ms()) / 1_000)


class VirtualClock:
    """A clock that stands still until it is moved on, for plays and tests."""

    def __init__(self, now_ms: int = 0) -> None:
        self._now_ms = now_ms
        self._sleepers: list[tuple[int, int, asyncio.Future[None]]] = []
        self._order = count()

    def now_ms(self) -> int:
        """The time to which the clock was last moved."""
        return self._now_ms

    def advance_to(self, ms: int) -> None:
        """Moves on, and wakes whoever waited for a time up to this one.

        They wake in order of their times, but all of them see the new time: a long step
        is one step, not many small ones.
        """
        assert ms >= self._now_ms, "a clock is never moved back"
        self._now_ms = ms
        while self._sleepers and self._sleepers[0][0] <= ms:
            woken = heappop(self._sleepers)[2]
            if not woken.done():
                woken.set_result(None)

    async def sleep_until(self, ms: int) -> None:
        """Returns when the clock has been moved to `ms` or beyond."""
        if ms <= self._now_ms:
            # A turn for the others all the same, as with a real clock.
            await asyncio.sleep(0)
            return
        woken = asyncio.get_running_loop().create_future()
        heappush(self._sleepers, (ms, next(self._order), woken))
        await woken
