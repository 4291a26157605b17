"""True time in a simulated game, and what is going to happen in it."""

from __future__ import annotations

from functools import partial
from heapq import heappop, heappush
from itertools import count
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Life", "Timeline"]


class Timeline:
    """Things that happen in order of time, and where that is the same, as planned."""

    def __init__(self, now_ms: int) -> None:
        self.now_ms = now_ms
        """The true time, which nobody in the game can read."""
        self._due: list[tuple[int, int, Callable[[], None]]] = []
        self._planned = count()

    def at(self, ms: int, happen: Callable[[], None]) -> None:
        """Plans something; what is planned for the past happens next."""
        heappush(self._due, (max(ms, self.now_ms), next(self._planned), happen))

    def after(self, delay_ms: int, happen: Callable[[], None]) -> None:
        """Plans something for a while from now."""
        self.at(self.now_ms + delay_ms, happen)

    def run_until(self, ms: int) -> None:
        """Lets everything happen up to that time."""
        while self._due and self._due[0][0] <= ms:
            self.now_ms, _, happen = heappop(self._due)
            happen()
        self.now_ms = ms


class Life:
    """One run of a process. What it had planned ends with it."""

    def __init__(self, timeline: Timeline) -> None:
        self.is_over = False
        self.is_stopped = False
        """Whether the process does not run at the moment; what is due then waits."""
        self._timeline = timeline
        self._put_off: list[Callable[[], None]] = []

    def stop_for(self, ms: int, waking: Callable[[], None]) -> None:
        """The process does nothing for so long, and begins again with `waking`."""
        self.is_stopped = True
        self._put_off.insert(0, waking)
        self._timeline.after(ms, self.go_on)

    def go_on(self) -> None:
        """The process runs from now on, however long it was to be stopped."""
        self.is_stopped = False
        put_off, self._put_off = self._put_off, []
        for happen in put_off:
            self.do(happen)

    def at(self, ms: int, happen: Callable[[], None]) -> None:
        """Plans something that happens only while the process runs."""
        self._timeline.at(ms, partial(self.do, happen))

    def after(self, delay_ms: int, happen: Callable[[], None]) -> None:
        """Plans something for a while from now."""
        self.at(self._timeline.now_ms + delay_ms, happen)

    def do(self, happen: Callable[[], None]) -> None:
        """Does something now, or when the process runs again; never, if it is over."""
        if self.is_over:
            return
        if self.is_stopped:
            self._put_off.append(happen)
        else:
            happen()
