"""The running score: a strip of numbers, struck as they are reached."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.book_lines import Scored

__all__ = ["AHEAD", "RunningBox", "ScoreMark", "running_score"]

AHEAD = 4
"""So many numbers that are still to be reached."""


class ScoreMark(Enum):
    """How a number is marked when it is reached."""

    OPEN = "open"
    """Not reached, or passed over by a goal."""
    GOAL = "goal"
    """A slash."""
    FREE_THROW = "free throw"
    """A filled dot."""


@dataclass(frozen=True, slots=True)
class RunningBox:
    """One number of the strip."""

    total: int
    mark: ScoreMark
    scorer: str
    """The scorer's number, or empty."""
    three: bool
    """The scorer's number is circled: a goal for three."""
    last_of_period: bool
    """A thick line after it: the period ended with it."""


def running_score(view: SeatView, side: Side, boxes: int) -> tuple[RunningBox, ...]:
    """So many boxes of one side's strip, the newest of them always among them."""
    scored = [one for one in view.game.book.running_score if one.side is side]
    by_total = {one.total: one for one in scored}
    score = view.mine.score[side]
    last = max(score + AHEAD, boxes)
    ends = _ends(scored, view.periods.of_play)
    return tuple(
        _box(total, by_total.get(total), ends)
        for total in range(last - boxes + 1, last + 1)
    )


def _box(total: int, scored: Scored | None, ends: frozenset[int]) -> RunningBox:
    if scored is None:
        return RunningBox(total, ScoreMark.OPEN, "", three=False, last_of_period=False)
    return RunningBox(
        total,
        ScoreMark.FREE_THROW if scored.points == 1 else ScoreMark.GOAL,
        scored.number or "",
        three=scored.points == 3,
        last_of_period=total in ends,
    )


def _ends(scored: list[Scored], period: int) -> frozenset[int]:
    """The totals with which a period before this one ended."""
    last_of = {one.period: one.total for one in scored}
    return frozenset(total for p, total in last_of.items() if p < period)
