"""The table's common time: how far this device's clock is from the relay's.

Every beat and its answer make a sample of four times (RFC 5905, section 8). The true
offset lies within half the delay of the sample's, so of the last eight samples the one
with the least delay is believed. Two samples whose bounds do not meet can't both be
right of one pair of clocks: one clock has jumped, as after a suspend, and what is older
than the jump is thrown away.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

__all__ = ["Sample", "TableTime"]

KEPT = 8
"""As many samples as the clock filter of RFC 5905 keeps."""
DRIFT_MS = 5
"""Two honest clocks drift apart by less while eight samples are taken."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One exchange with the relay, in milliseconds of the two clocks."""

    t1_ms: int
    """This device's clock at sending."""
    t2_ms: int
    """The relay's clock at receipt."""
    t3_ms: int
    """The relay's clock at answering."""
    t4_ms: int
    """This device's clock at receipt of the answer."""

    @property
    def offset_ms(self) -> float:
        """How far the relay's clock is ahead of this device's (theta in RFC 5905)."""
        return ((self.t2_ms - self.t1_ms) + (self.t3_ms - self.t4_ms)) / 2

    @property
    def delay_ms(self) -> int:
        """The time on the way, there and back (delta in RFC 5905)."""
        return (self.t4_ms - self.t1_ms) - (self.t3_ms - self.t2_ms)

    def can_agree_with(self, other: Sample) -> bool:
        """Whether one offset between the clocks can explain both."""
        apart = abs(self.offset_ms - other.offset_ms)
        return apart <= (self.delay_ms + other.delay_ms) / 2 + DRIFT_MS


class TableTime:
    """Converts between a device's own clock and table time."""

    def __init__(self, offset_ms: int = 0) -> None:
        self.offset_ms = offset_ms
        """Table time less the device's clock; before any sample, as last known."""
        self._samples: deque[Sample] = deque(maxlen=KEPT)

    def take(self, sample: Sample) -> None:
        """Learns from an exchange. One with a negative delay is no exchange."""
        if sample.delay_ms < 0:
            return
        if any(not sample.can_agree_with(older) for older in self._samples):
            self._samples.clear()
        self._samples.append(sample)
        best = min(reversed(self._samples), key=lambda one: one.delay_ms)
        self.offset_ms = round(best.offset_ms)

    def at(self, now_ms: int) -> int:
        """The table time when the device's clock shows `now_ms`."""
        return now_ms + self.offset_ms
