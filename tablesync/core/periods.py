"""Which period a seat is in, and to which period an act belongs."""

from __future__ import annotations

from dataclasses import replace

from tablesync.core.acts import Act, ClosePeriod, OpenPeriod
from tablesync.frozen import dataclass

__all__ = ["BEFORE_THE_GAME", "PeriodState"]


@dataclass(frozen=True, slots=True)
class PeriodState:
    """The last period opened, and whether it is still open."""

    last: int
    """0 before the first."""
    is_open: bool

    def after(self, act: Act) -> PeriodState:
        """The state once that act is done; only openings and closings change it."""
        match act:
            case OpenPeriod(period=period):
                return PeriodState(period, is_open=True)
            case ClosePeriod(period=period) if period == self.last:
                return replace(self, is_open=False)
            case _:
                return self

    @property
    def of_play(self) -> int:
        """Where a goal belongs: while no period is open, to the one just ended."""
        return max(self.last, 1)

    @property
    def of_foul(self) -> int:
        """Where a foul belongs: while no period is open, to the next one.

        FIBA 2024 Art. 41.1.3; for the other codes common practice, no source.
        """
        return self.last if self.is_open else self.last + 1


BEFORE_THE_GAME = PeriodState(last=0, is_open=False)
