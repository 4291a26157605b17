"""What one record claims: that an act happened, entered at a time."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from tablesync.core.acts import Basket, Foul, FreeThrow
from tablesync.core.tally import Item
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.core.tally import Mark

__all__ = ["Claim", "Pace", "Whistle"]


class Pace(Enum):
    """The kinds of act that officials are quicker or slower to enter."""

    GOAL = "goal"
    FREE_THROW = "free throw"
    FOUL = "foul"
    TIME_OUT = "time-out"


@dataclass(frozen=True, slots=True)
class Whistle:
    """The stop of the clock that an act probably belongs to."""

    at_s: float
    """When the act was done, judged by the stop."""
    odds: float
    """The probability that the act belongs to this stop."""


@dataclass(slots=True, eq=False)
class Claim:
    """One act of one record, to be matched with the other record's."""

    number: int
    """Its place in the order in which the comparison took the claims."""
    record: int
    """Whose it is: 0 for the first record of the pair, 1 for the second."""
    entry: Entry
    act: Act
    """What stands: for an amended entry the correction."""
    mark: Mark
    placed_s: float
    """Where it stands in its record, by time."""
    at_s: float
    """When it was entered; after a correction, since when it waits anew."""
    whistle: Whistle | None = None
    partner: Claim | None = None
    """The other record's claim of the same act, once that is settled."""
    still_coming: float = 1.0
    """What is left of the chance that its partner comes, now that the other seat has
    entered things beside it."""

    @property
    def pace(self) -> Pace:
        """Which lag goes for it."""
        match self.mark.item:
            case Item.TEAM_FOULS:
                return Pace.FOUL
            case Item.TIME_OUTS:
                return Pace.TIME_OUT
            case _:
                return Pace.FREE_THROW if self.mark.amount == 1 else Pace.GOAL

    @property
    def player(self) -> str | None:
        """The number of the player concerned, where the record gives one."""
        match self.act:
            case Basket(number=number) | FreeThrow(number=number) | Foul(number=number):
                return number
            case _:
                return None

    def is_like(self, other: Claim) -> bool:
        """Whether both claim the same act, by item, side and amount."""
        return self.mark == other.mark
