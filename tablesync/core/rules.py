"""The shape of a rule set: what one code, in one edition, says to the table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.core.acts import Charged, Foul

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
    team_foul_charges: frozenset[Charged]
    """Whose fouls count to the team."""

    def period_length_ms(self, period: int) -> int:
        """How long a period lasts on the clock."""
        return self.period_ms if period <= self.periods else self.overtime_ms

    def period_title(self, period: int) -> str:
        """A period as it is called at the table: "2nd quarter", "1st overtime"."""
        if period > self.periods:
            return f"{_ordinal(period - self.periods)} overtime"
        return f"{_ordinal(period)} {self.period_name}"

    def is_team_foul(self, foul: Foul) -> bool:
        """Whether a foul counts to the team's fouls."""
        return foul.charged in self.team_foul_charges


def _ordinal(number: int) -> str:
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"
