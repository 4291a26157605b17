"""The table's common time: how far this device's clock is from the relay's.

Every beat and its answer make a sample of four times (RFC 5905, section 8). The true
offset lies within half the delay of the sample's, so of the last eight samples the one
with the least delay is believed. Two samples whose bounds do not meet can't both be
right of one pair of clocks: one clock has jumped, as after a suspend, and what is older
than the jump is thrown away.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.core.clock_sample import Sample

__all__ = ["TableTime"]

KEPT = 8
"""As many samples as the clock filter of RFC 5905 keeps."""


class TableTime:
    """Converts between a device's own clock and table time."""

    def __init__(self, offset_ms: int = 0) -> None:
        self.offset_ms = offset_ms
        """Table time less the device's clock; before any sample, as last known."""
        self.best: Sample | None = None
        """The sample that is believed; None before any."""
        self._samples: deque[Sample] = deque(maxlen=KEPT)

    def take(self, sample: Sample) -> None:
        """Learns from an exchange. One with a negative delay is no exchange."""
        if sample.delay_ms < 0:
            return
        if any(not sample.can_agree_with(older) for older in self._samples):
            self._samples.clear()
        self._samples.append(sample)
        self.best = min(reversed(self._samples), key=lambda one: one.delay_ms)
        self.offset_ms = round(self.best.offset_ms)

    def at(self, now_ms: int) -> int:
        """The table time when the device's clock shows `now_ms`."""
        return now_ms + self.offset_ms
