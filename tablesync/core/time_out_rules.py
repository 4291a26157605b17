"""What a code says about time-outs, and what it leaves a team.

A team's account is opened with the game, goes over into the second half and into each
overtime as the code lets it, and is added to there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import TimeOutLength
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "Account",
    "Allowance",
    "CarryOver",
    "LateLimit",
    "TakenTimeOut",
    "TimeOutRules",
]


@dataclass(frozen=True, slots=True)
class Allowance:
    """Time-outs of each length."""

    full: int
    short: int

    @property
    def total(self) -> int:
        """Of both lengths together."""
        return self.full + self.short


NOTHING = Allowance(0, 0)


@dataclass(frozen=True, slots=True)
class CarryOver:
    """What goes over at most from one part of the game into the next."""

    full: int
    short: int
    total: int
    """Where it bites, short ones are lost first."""

    def of(self, left: Allowance) -> Allowance:
        """What goes over of what is left."""
        full = min(left.full, self.full, self.total)
        return Allowance(full, min(left.short, self.short, self.total - full))


@dataclass(frozen=True, slots=True)
class LateLimit:
    """At most so many may be taken late in the last period of regular play."""

    number: int
    remaining_ms: int
    """Late is when the clock shows this or less."""


@dataclass(frozen=True, slots=True)
class TakenTimeOut:
    """A time-out as the account sees it."""

    period: int
    length: TimeOutLength
    remaining_ms: int | None
    """What the clock showed; None where no clock seat says."""


@dataclass(frozen=True, slots=True)
class Account:
    """What a team has left, and what it took beyond that."""

    left: Allowance
    too_many: int
    """Taken with none left: granted all the same, at the cost the code sets."""


@dataclass(frozen=True, slots=True)
class TimeOutRules:
    """Everything a code says about time-outs that the table must know."""

    full_ms: int
    short_ms: int
    """0 where the code has one length only."""
    game: Allowance
    """What a team begins with."""
    into_second_half: CarryOver
    second_half: Allowance
    """What the second half adds."""
    into_overtime: CarryOver
    overtime: Allowance
    """What each overtime adds."""
    late_limit: LateLimit | None
    signals_left_ms: tuple[int, ...]
    """Signals are due when this is left of a time-out; 0 is its end."""

    def length_ms(self, length: TimeOutLength) -> int:
        """How long a time-out lasts; a code with one length has only that."""
        is_short = length is TimeOutLength.SHORT and self.short_ms
        return self.short_ms if is_short else self.full_ms

    def signals_ms(self, length: TimeOutLength) -> tuple[int, ...]:
        """When signals are due, counted from the time-out's start."""
        length_ms = self.length_ms(length)
        return tuple(length_ms - left_ms for left_ms in self.signals_left_ms)

    def account(
        self,
        taken: Iterable[TakenTimeOut],
        periods: int,
        period: int,
        remaining_ms: int | None,
    ) -> Account:
        """A team's account in a period.

        Args:
            taken: the team's time-outs so far, in order.
            periods: how many periods regular play has.
            period: the period asked about, from 1 on.
            remaining_ms: what its clock shows; None where no clock seat says.
        """
        left, stage, late, too_many = self.game, 1, 0, 0
        for time_out in taken:
            stage_then = _stage(time_out.period, periods)
            left = self._gone_over(left, stage, stage_then)
            stage = max(stage, stage_then)
            late += self._is_late(time_out.period, time_out.remaining_ms, periods)
            if left.total == 0 or self._is_over_late_limit(late):
                too_many += 1
            if left.total > 0:
                left = _less(left, time_out.length)
        left = self._gone_over(left, stage, _stage(period, periods))
        if self.late_limit and self._is_late(period, remaining_ms, periods):
            most = max(0, self.late_limit.number - late)
            left = CarryOver(most, most, most).of(left)
        return Account(left, too_many)

    def _gone_over(self, left: Allowance, stage: int, until: int) -> Allowance:
        for next_stage in range(stage + 1, until + 1):
            is_overtime = next_stage > 2
            carry = self.into_overtime if is_overtime else self.into_second_half
            added = self.overtime if is_overtime else self.second_half
            kept = carry.of(left)
            left = Allowance(kept.full + added.full, kept.short + added.short)
        return left

    def _is_over_late_limit(self, late: int) -> bool:
        return self.late_limit is not None and late > self.late_limit.number

    def _is_late(self, period: int, remaining_ms: int | None, periods: int) -> bool:
        return (
            self.late_limit is not None
            and period == periods
            and remaining_ms is not None
            and remaining_ms <= self.late_limit.remaining_ms
        )


def _stage(period: int, periods: int) -> int:
    """1 and 2 for the halves, 3 on for the overtimes."""
    if period > periods:
        return 2 + period - periods
    return 1 if period <= periods // 2 else 2


def _less(left: Allowance, length: TimeOutLength) -> Allowance:
    """What is left after one more; the other length pays where that one has run out.

    A full one for a short one: NFHS case 5.12.1 B. The other way round: from memory.
    """
    takes_short = left.short > 0 and (length is TimeOutLength.SHORT or left.full == 0)
    if takes_short:
        return Allowance(left.full, left.short - 1)
    return Allowance(left.full - 1, left.short)
