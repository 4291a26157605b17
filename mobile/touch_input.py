"""Stands between Kivy's devices and its widgets, and lets every touch through once."""

from __future__ import annotations

import logging
import time
from typing import TYPE_CHECKING

from kivy.metrics import dp

from tablesync.touches import TouchDown, TouchSieve

if TYPE_CHECKING:
    from kivy.input.motionevent import MotionEvent

__all__ = ["TouchInput"]

log = logging.getLogger(__name__)


class TouchInput:
    """A post-processing module of Kivy: `EventLoop.add_postproc_module` takes it."""

    def __init__(self, size: tuple[int, int]) -> None:
        self.size = size
        """Of the window, in pixels; to be kept up to date."""
        self._sieve = TouchSieve()

    @property
    def doubles(self) -> int:
        """How many reports have been held back."""
        return self._sieve.doubles

    def process(
        self, events: list[tuple[str, MotionEvent]]
    ) -> list[tuple[str, MotionEvent]]:
        """Gives back the events that are to reach the widgets."""
        return [event for event in events if self._passes(*event)]

    def _passes(self, kind: str, touch: MotionEvent) -> bool:
        if not touch.is_touch:
            return True
        match kind:
            case "begin":
                return self._sieve.comes_down(self._read(touch))
            case "end":
                return self._sieve.is_lifted(touch.uid)
            case _:
                return self._sieve.goes_on(touch.uid)

    def _read(self, touch: MotionEvent) -> TouchDown:
        width, height = self.size
        down = TouchDown(
            touch.device,
            touch.uid,
            touch.sx * width / dp(1),
            touch.sy * height / dp(1),
            time.monotonic_ns() // 1_000_000,
        )
        log.debug("touch %s", down)
        return down
