"""The kinds of slip, and how likely each is before anything is known of a game.

Every cost in the check is the logarithm of a likelihood, and every likelihood that is
not learned during the game stands in this table. The values are common practice, no
source: they say that about one act in a hundred goes wrong, and a game learns its own
officials' share (`habits.Habits.care`).
"""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.check.claims import Claim

__all__ = ["ODDS", "Odds", "Slip", "SlipKind", "Trouble"]


class SlipKind(Enum):
    """What went wrong with one act."""

    MISSING = "missing"
    """One record has it, the other never will."""
    TWICE = "twice"
    """One record has it two times."""
    SIDES = "sides"
    """The records give it to different teams."""
    POINTS = "points"
    """The records give it different points."""

    # Slips are keys where much is counted, and an Enum's own hash is slow.
    __hash__ = object.__hash__


@dataclass(frozen=True, slots=True)
class Odds:
    """How likely a slip of each kind is, for one act."""

    missing: float = 0.01
    twice: float = 0.003
    sides: float = 0.008
    points: float = 0.008
    points_of_a_free_throw: float = 0.0008
    """One record has a free throw, the other a field goal."""


ODDS = Odds()


class Trouble(NamedTuple):
    """What a finding is about, however the entry concerned may be revised."""

    kind: SlipKind
    alone: int | None
    """For a missing or double act: the record that has it, 0 or 1."""
    item: str
    side: str | None
    """None where the sides differ."""


class Slip(NamedTuple):
    """One slip, with the claims concerned."""

    kind: SlipKind
    claims: tuple[Claim, ...]
    """MISSING: the claim without a partner. TWICE: the first and the second press.
    SIDES, POINTS: the first record's claim and the second's."""

    @property
    def concerned(self) -> tuple[Claim, ...]:
        """The claims that a finding names: of a double entry the second press."""
        return self.claims[1:] if self.kind is SlipKind.TWICE else self.claims

    @property
    def trouble(self) -> Trouble:
        """What it comes to."""
        claim = self.claims[0]
        item, side = claim.mark.item, claim.mark.side
        match self.kind:
            case SlipKind.MISSING | SlipKind.TWICE:
                return Trouble(self.kind, claim.record, item, side)
            case SlipKind.SIDES:
                return Trouble(self.kind, None, item, None)
            case SlipKind.POINTS:
                return Trouble(self.kind, None, item, side)
