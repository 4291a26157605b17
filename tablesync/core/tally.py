"""The part of the game that every seat keeps, which is what the check compares."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Generic, TypeVar

from tablesync.core.acts import Side

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["EMPTY_TALLY", "PerSide", "Tally"]

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class PerSide(Generic[T]):
    """One value for each team: `pair[Side.HOME]`."""

    home: T
    away: T

    def __getitem__(self, side: Side) -> T:
        return self.home if side is Side.HOME else self.away

    def __iter__(self) -> Iterator[tuple[Side, T]]:
        return iter(((Side.HOME, self.home), (Side.AWAY, self.away)))

    def put(self, side: Side, value: T) -> PerSide[T]:
        """The same pair with another value for one side."""
        if side is Side.HOME:
            return replace(self, home=value)
        return replace(self, away=value)


@dataclass(frozen=True, slots=True)
class Tally:
    """What both records must agree on."""

    score: PerSide[int]
    team_fouls: PerSide[tuple[int, ...]]
    """Per side, one count a period from the first; trailing periods may be absent."""
    time_outs: PerSide[int]
    """How many each side has taken."""
    period: int
    """The last period opened, 0 before the first."""
    arrow: Side | None

    def fouls_in(self, period: int, side: Side) -> int:
        """The team fouls of a side in one period."""
        counts = self.team_fouls[side]
        return counts[period - 1] if 0 < period <= len(counts) else 0


EMPTY_TALLY = Tally(
    score=PerSide(0, 0),
    team_fouls=PerSide((), ()),
    time_outs=PerSide(0, 0),
    period=0,
    arrow=None,
)
