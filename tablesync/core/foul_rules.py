"""What a code says about fouls: to whom they count, what they cost, who is out.

The kinds of foul are data of a rule set, so a new edition with other kinds is a new set
and nothing here changes.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.core.acts import Charged
from tablesync.core.words import ordinal
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.periods import PeriodState
    from tablesync.core.sources import Source

__all__ = [
    "Award",
    "BonusStep",
    "CoachCharge",
    "CoachLimit",
    "FoulRule",
    "FoulRules",
    "Penalty",
    "PlayerLimit",
]


class Award(StrEnum):
    """What the other team gets for a common foul that was no shooting foul."""

    THROW_IN = "throw_in"
    ONE_AND_ONE = "one_and_one"
    """A second free throw only where the first is made."""
    TWO_SHOTS = "two_shots"


class Penalty(StrEnum):
    """What a kind of foul costs."""

    BY_COUNT = "by_count"
    """As many shots as the team's count says, see `FoulRules.award`."""
    NEVER_SHOTS = "never_shots"
    """A foul of the team in control: a throw-in, whatever the count."""
    OWN = "own"
    """A penalty of its own, whatever the count."""


class CoachCharge(StrEnum):
    """As what a foul stands on the head coach's record."""

    NONE = "none"
    DIRECT = "direct"
    """C under FIBA, a direct technical under NFHS, a class A one with NCAA men."""
    INDIRECT = "indirect"
    """B under FIBA, an indirect technical under NFHS, a class B one with NCAA men."""
    OUT = "out"
    """Puts the coach out at once."""


@dataclass(frozen=True, slots=True)
class FoulRule:
    """One kind of foul, charged to one kind of person."""

    charged: Charged
    kind: str
    """As it is entered: lower-case letters and underscores."""
    title: str
    """As it is called at the table."""
    letter: str
    """As it stands in a foul box."""
    penalty: Penalty
    source: Source
    to_team: bool
    """Whether it is a team foul."""
    to_player: bool = False
    """Whether it counts to the fouls that put a player out by number."""
    to_coach: CoachCharge = CoachCharge.NONE
    adds_between: CoachCharge = CoachCharge.NONE
    """What it is to the coach besides, while no period is open."""

    def coach_charge(self, periods: PeriodState) -> CoachCharge:
        """As what it stands on the head coach's record, entered at that point."""
        if self.to_coach is CoachCharge.NONE and not periods.is_open:
            return self.adds_between
        return self.to_coach


@dataclass(frozen=True, slots=True)
class BonusStep:
    """From this team foul on, the award is this."""

    from_count: int
    """The foul being reported counts too."""
    award: Award
    source: Source


@dataclass(frozen=True, slots=True)
class PlayerLimit:
    """So many fouls of these kinds put a player out."""

    number: int
    kinds: frozenset[str]
    says: str
    """As the table says it: "two technical fouls"."""
    source: Source


@dataclass(frozen=True, slots=True)
class CoachLimit:
    """So many of these charges put the head coach out."""

    number: int
    charges: frozenset[CoachCharge]
    says: str
    source: Source


@dataclass(frozen=True, slots=True)
class FoulRules:
    """Everything a code says about fouls that the table must know."""

    kinds: tuple[FoulRule, ...]
    player_limit: int
    """The foul that puts a player out, whatever the kinds that count to it."""
    player_limits: tuple[PlayerLimit, ...]
    """The combinations that put a player out besides."""
    coach_limits: tuple[CoachLimit, ...]
    periods_per_span: int
    """How many periods share a count of team fouls: 2 where quarters count by half."""
    overtime_joins_last: bool
    """Whether overtimes go on with the count of the last span."""
    bonus: tuple[BonusStep, ...]
    """By rising count."""

    def rule(self, charged: Charged, kind: str) -> FoulRule | None:
        """What the code says about such a foul; None where it has none such."""
        for rule in self.kinds:
            if rule.charged is charged and rule.kind == kind:
                return rule
        return None

    def counted_as(self, charged: Charged, kind: str) -> FoulRule:
        """The rule by which such a foul counts.

        One that the code does not have counts as the first that it charges there.
        """
        rule = self.rule(charged, kind)
        return rule or next(r for r in self.kinds if r.charged is charged)

    def award(self, count: int) -> Award:
        """What a common foul costs that makes the team's count this."""
        award = Award.THROW_IN
        for step in self.bonus:
            if count >= step.from_count:
                award = step.award
        return award

    def player_out_by(self, kinds: Sequence[str]) -> str | None:
        """Why a player with these fouls is out, as the table says it, or None."""
        for limit in self.player_limits:
            if sum(kind in limit.kinds for kind in kinds) >= limit.number:
                return limit.says
        counting = [self.counted_as(Charged.PLAYER, kind).to_player for kind in kinds]
        if sum(counting) >= self.player_limit:
            return f"{ordinal(self.player_limit)} foul"
        return None

    def coach_out_by(self, charges: Sequence[CoachCharge]) -> str | None:
        """Why a head coach with these charges is out, or None."""
        for limit in self.coach_limits:
            if sum(charge in limit.charges for charge in charges) >= limit.number:
                return limit.says
        return None
