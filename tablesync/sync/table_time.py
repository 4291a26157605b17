"""The table's common time: how far this device's clock is from the relay's.

Every beat and its answer make a sample of four times (RFC 5905, section 8). No way can
take less than no time, so the true offset lies within half the delay of the sample's.
All samples bound the same offset: what is believed is the middle of what all of them
allow (after K. Marzullo and S. Owicki, "Maintaining the time in a distributed system",
1983). That is never worse than believing the sample with the least delay, and far
better over a slow link, where the quickest way there and the quickest way back seldom
fall in one sample. A sample that the others' bounds do not allow can't be right of the
same pair of clocks: one clock has jumped, as after a suspend, and what is older than
the jump is thrown away.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.core.clock_sample import Sample

__all__ = ["TableTime"]

KEPT = 64
"""As many samples bound the offset: a minute of a good link."""
DRIFT_PPM = 300
"""Two honest clocks drift apart by less, so a bound is the wider the older it is."""
BLUR_MS = 5
"""Bounds that miss each other by less are no jump: clocks tell whole milliseconds."""


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
        self._samples.append(sample)
        least_ms, most_ms = self._bounds_ms(sample.t4_ms)
        if least_ms > most_ms + BLUR_MS:
            self._samples.clear()
            self._samples.append(sample)
            least_ms, most_ms = _bounds_ms(sample, sample.t4_ms)
        self.offset_ms = round((least_ms + most_ms) / 2)

    @property
    def best(self) -> Sample | None:
        """The sample that bounds the offset the closest by itself; None before any."""
        samples = reversed(self._samples)
        return min(samples, key=lambda one: one.delay_ms, default=None)

    def _bounds_ms(self, now_ms: int) -> tuple[float, float]:
        bounds = [_bounds_ms(sample, now_ms) for sample in self._samples]
        return max(least for least, _ in bounds), min(most for _, most in bounds)

    def at(self, now_ms: int) -> int:
        """The table time when the device's clock shows `now_ms`."""
        return now_ms + self.offset_ms


def _bounds_ms(sample: Sample, now_ms: int) -> tuple[float, float]:
    """The least and the most that the offset can be, as far as a sample tells.

    Args:
        sample: the exchange.
        now_ms: this device's clock, at the answer or later.
    """
    drift_ms = (now_ms - sample.t4_ms) * DRIFT_PPM / 1_000_000
    return (
        sample.t3_ms - sample.t4_ms - drift_ms,
        sample.t2_ms - sample.t1_ms + drift_ms,
    )
