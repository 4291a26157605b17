"""The part of the game that every seat keeps, which is what the check compares."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, TypeVar

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Correction,
    Foul,
    FreeThrow,
    OpenPeriod,
    OwnBasket,
    Points,
    Side,
    TeamFoul,
    TimeOut,
)
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tablesync.core.rules import RuleSet

__all__ = ["EMPTY_TALLY", "Item", "Mark", "PerSide", "Tally", "mark_of", "raised"]

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

    def after(self, mark: Mark, foul_period: int) -> Tally:
        """The tally with one more mark; a foul counts in `foul_period`."""
        side = mark.side
        if side is None:
            return replace(self, period=mark.amount)
        match mark.item:
            case Item.SCORE:
                score = self.score.put(side, self.score[side] + mark.amount)
                return replace(self, score=score)
            case Item.TEAM_FOULS:
                counts = raised(self.team_fouls[side], foul_period, mark.amount)
                return replace(self, team_fouls=self.team_fouls.put(side, counts))
            case Item.TIME_OUTS:
                taken = self.time_outs[side] + mark.amount
                return replace(self, time_outs=self.time_outs.put(side, taken))
            case Item.ARROW:
                return replace(self, arrow=side)
            case Item.PERIOD:
                raise AssertionError(f"a period has no side: {mark}")


def raised(counts: tuple[int, ...], period: int, amount: int) -> tuple[int, ...]:
    """Counts by period with one of them raised; absent periods before it become 0."""
    padded = counts + (0,) * (period - len(counts))
    return (*padded[: period - 1], padded[period - 1] + amount, *padded[period:])


EMPTY_TALLY = Tally(
    score=PerSide(0, 0),
    team_fouls=PerSide((), ()),
    time_outs=PerSide(0, 0),
    period=0,
    arrow=None,
)


class Item(StrEnum):
    """One thing that every seat keeps."""

    SCORE = "score"
    TEAM_FOULS = "team_fouls"
    TIME_OUTS = "time_outs"
    PERIOD = "period"
    ARROW = "arrow"


@dataclass(frozen=True, slots=True)
class Mark:
    """What one act means to the tally of its seat, in terms that all seats share."""

    item: Item
    side: Side | None
    """None for the period, which both teams share."""
    amount: int
    """The points; the period's number; 1 for a foul, a time-out or the arrow."""


def mark_of(act: Act, rules: RuleSet) -> Mark | None:
    """What an act means to the tally, or None where the tally does not show it."""
    match act:
        case (
            Basket(side=side, points=points)
            | OwnBasket(side=side, points=points)
            | Points(side=side, points=points)
        ):
            return Mark(Item.SCORE, side, points)
        case FreeThrow(side=side, made=True):
            return Mark(Item.SCORE, side, 1)
        case Foul(side=side) if rules.is_team_foul(act):
            return Mark(Item.TEAM_FOULS, side, 1)
        case TeamFoul(side=side):
            return Mark(Item.TEAM_FOULS, side, 1)
        case TimeOut(side=side):
            return Mark(Item.TIME_OUTS, side, 1)
        case OpenPeriod(period=period):
            return Mark(Item.PERIOD, None, period)
        case Arrow(side=side):
            return Mark(Item.ARROW, side, 1)
        case Correction(act=corrected) if corrected is not None:
            return mark_of(corrected, rules)
        case _:
            return None
