"""What a code says about the possession arrow."""

from __future__ import annotations

from enum import StrEnum

from tablesync.frozen import dataclass

__all__ = ["ArrowRules", "Opening"]


class Opening(StrEnum):
    """How a period begins."""

    JUMP_BALL = "jump_ball"
    ARROW = "arrow"
    """With a throw-in for the team to which the arrow points, which turns it."""


@dataclass(frozen=True, slots=True)
class ArrowRules:
    """How the periods begin; the game itself begins with a jump ball everywhere."""

    later_periods: Opening
    overtimes: Opening

    def opening(self, period: int, periods: int) -> Opening:
        """How a period begins.

        Args:
            period: from 1 on.
            periods: how many periods regular play has.
        """
        if period == 1:
            return Opening.JUMP_BALL
        return self.overtimes if period > periods else self.later_periods
