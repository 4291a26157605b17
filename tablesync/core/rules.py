"""The shape of a rule set: what one code, in one edition, says to the table.

Every value has its source: rows of a table carry their own, and `RuleSet.sources` has
one for each field besides, by its path, such as "time_outs.full_ms".
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING

from tablesync.core.words import ordinal
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tablesync.core.acts import Foul
    from tablesync.core.arrow_rules import ArrowRules, Opening
    from tablesync.core.foul_rules import FoulRules
    from tablesync.core.interval_rules import IntervalRules
    from tablesync.core.playing_time import PlayingTimeRules
    from tablesync.core.roster_rules import RosterRules
    from tablesync.core.sources import Source
    from tablesync.core.time_out_rules import Account, TakenTimeOut, TimeOutRules

__all__ = ["RuleSet"]


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One code in one edition."""

    name: str
    title: str
    periods: int
    """Periods of regular play; overtimes come after them and go on counting."""
    period_name: str
    """What one period of regular play is called: "quarter" or "half"."""
    period_ms: int
    overtime_ms: int
    intervals: IntervalRules
    fouls: FoulRules
    time_outs: TimeOutRules
    roster: RosterRules
    arrow: ArrowRules
    playing_time: PlayingTimeRules
    closed_by: str
    """What ends the time in which the record may be corrected."""
    sources: Mapping[str, Source] = field(hash=False, repr=False)
    """Path of a field to its source."""

    def period_length_ms(self, period: int) -> int:
        """How long a period lasts on the clock."""
        return self.period_ms if period <= self.periods else self.overtime_ms

    def period_title(self, period: int) -> str:
        """A period as it is called at the table: "2nd quarter", "1st overtime"."""
        if period > self.periods:
            return f"{ordinal(period - self.periods)} overtime"
        return f"{ordinal(period)} {self.period_name}"

    def is_team_foul(self, foul: Foul) -> bool:
        """Whether a foul counts to the team's fouls."""
        return self.fouls.counted_as(foul.charged, foul.kind).to_team

    def foul_span(self, period: int) -> range:
        """The periods, up to that one, whose team fouls count together."""
        size = self.fouls.periods_per_span
        if period <= self.periods:
            return range((period - 1) // size * size + 1, period + 1)
        if self.fouls.overtime_joins_last:
            return range(self.periods - size + 1, period + 1)
        return range(period, period + 1)

    def foul_span_title(self, period: int) -> str:
        """The span of a period as it is called: "2nd quarter", "1st half"."""
        size = self.fouls.periods_per_span
        if period > self.periods and not self.fouls.overtime_joins_last:
            return self.period_title(period)
        within = min(period, self.periods)
        if size == 1:
            return self.period_title(within)
        return f"{ordinal((within - 1) // size + 1)} half"

    def time_out_account(
        self, taken: tuple[TakenTimeOut, ...], period: int, remaining_ms: int | None
    ) -> Account:
        """What a team has left in a period; `remaining_ms` as the clock shows it."""
        return self.time_outs.account(taken, self.periods, max(period, 1), remaining_ms)

    def time_out_span_title(self, period: int) -> str:
        """The part of the game to which an account applies: "2nd half"."""
        if period > self.periods:
            return self.period_title(period)
        return "1st half" if period <= self.periods // 2 else "2nd half"

    def opening(self, period: int) -> Opening:
        """How a period begins."""
        return self.arrow.opening(period, self.periods)

    def interval_ms(self, next_period: int) -> int | None:
        """How long the interval before a period lasts; None if not established."""
        return self.intervals.length_ms(next_period, self.periods)

    def interval_signals(self, next_period: int) -> tuple[int, ...]:
        """Milliseconds left of that interval when signals are due."""
        return self.intervals.signals_before(next_period, self.periods)
