"""What a code says about the time between periods."""

from __future__ import annotations

from tablesync.frozen import dataclass

__all__ = ["IntervalRules"]


@dataclass(frozen=True, slots=True)
class IntervalRules:
    """How long intervals last, and when signals are due in them."""

    between_ms: int | None
    """Between two quarters of a half; None where it is not established."""
    half_time_ms: int
    before_overtime_ms: int
    signals_left_ms: tuple[int, ...]
    """Signals are due when this is left of an interval; 0 is its end."""
    half_signals_left_ms: tuple[int, ...]
    """The same before each half begins."""

    def length_ms(self, next_period: int, periods: int) -> int | None:
        """How long the interval before a period lasts.

        Args:
            next_period: the period to come, from 2 on.
            periods: how many periods regular play has.
        """
        if next_period > periods:
            return self.before_overtime_ms
        if _begins_half(next_period, periods):
            return self.half_time_ms
        return self.between_ms

    def signals_before(self, next_period: int, periods: int) -> tuple[int, ...]:
        """How much is left of the interval before a period when signals are due."""
        if _begins_half(next_period, periods):
            return self.half_signals_left_ms
        return self.signals_left_ms


def _begins_half(period: int, periods: int) -> bool:
    return period in (1, periods // 2 + 1)
