"""What stands on the lines of a book page, as values."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import EntryId, Side, TimeOutLength

__all__ = ["BookedFoul", "BookedTimeOut", "PeriodMark", "PlayerLine", "Scored", "Spell"]


class PeriodMark(StrEnum):
    """How much of a period a player was on court."""

    FULL = "full"
    """From its first second on without leaving: so far, while it is open."""
    PART = "part"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class BookedFoul:
    """A foul as it stands in a foul box."""

    entry: EntryId
    kind: str
    period: int
    """The period to which it counts."""
    at_ms: int
    """When it was entered, in table time."""


@dataclass(frozen=True, slots=True)
class BookedTimeOut:
    """A time-out as it stands in a time-out box."""

    entry: EntryId
    length: TimeOutLength
    period: int
    at_ms: int


@dataclass(frozen=True, slots=True)
class Scored:
    """One step of the running score."""

    entry: EntryId
    side: Side
    number: str | None
    """None for a goal that is credited to no player."""
    points: int
    """1 for a free throw, 2 or 3 for a goal."""
    total: int
    """The team's score with these points."""
    period: int
    at_ms: int


@dataclass(frozen=True, slots=True)
class Spell:
    """One stretch of a player on court within one period."""

    number: str
    period: int
    from_ms: int | None
    """Table time of the substitution; None for the period's start."""
    to_ms: int | None
    """Table time of the substitution; None for the period's end, or still on court."""


@dataclass(frozen=True, slots=True)
class PlayerLine:
    """One player's line."""

    number: str
    goals2: int = 0
    goals3: int = 0
    ft_made: int = 0
    ft_attempted: int = 0
    fouls: tuple[BookedFoul, ...] = ()
    """What is charged to the player, in the order entered."""
    marks: tuple[PeriodMark, ...] = ()
    """One a period opened."""

    @property
    def points(self) -> int:
        """What the player has scored."""
        return 2 * self.goals2 + 3 * self.goals3 + self.ft_made

    def with_goal(self, points: int) -> PlayerLine:
        """The line after a goal for 2 or 3."""
        if points == 3:
            return replace(self, goals3=self.goals3 + 1)
        return replace(self, goals2=self.goals2 + 1)

    def with_free_throw(self, made: int) -> PlayerLine:
        """The line after a free throw; `made` is 1 or 0."""
        return replace(
            self, ft_made=self.ft_made + made, ft_attempted=self.ft_attempted + 1
        )

    def with_foul(self, foul: BookedFoul) -> PlayerLine:
        """The line after a foul."""
        return replace(self, fouls=(*self.fouls, foul))

    def with_mark(self, period: int, mark: PeriodMark) -> PlayerLine:
        """The line with one period's mark; periods before it without one stay blank."""
        missing = max(0, period - len(self.marks))
        marks = list(self.marks + (PeriodMark.NONE,) * missing)
        marks[period - 1] = mark
        return replace(self, marks=tuple(marks))

    def mark(self, period: int) -> PeriodMark:
        """The mark of a period."""
        return self.marks[period - 1] if period <= len(self.marks) else PeriodMark.NONE
