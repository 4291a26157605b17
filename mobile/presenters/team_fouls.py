"""A team's fouls in the span that counts together, and the bonus they bring."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.foul_rules import Award
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.acts import Side
    from tablesync.core.tally import Tally

__all__ = ["FoulBox", "award", "fouls_in_span", "team_foul_boxes"]


@dataclass(frozen=True, slots=True)
class FoulBox:
    """A count of team fouls, as a numbered box."""

    label: str
    struck: bool
    heavy: bool
    """A count with which the award changes."""


def fouls_in_span(view: SeatView, tally: Tally, side: Side, period: int) -> int:
    """The team fouls that count together in that period."""
    span = view.game.rules.foul_span(max(1, period))
    return sum(tally.fouls_in(one, side) for one in span)


def award(view: SeatView, side: Side) -> Award | None:
    """The bonus that the team's next common foul gives the others, or None yet."""
    fouls = fouls_in_span(view, view.mine, side, view.periods.of_foul)
    next_award = view.game.rules.fouls.award(fouls + 1)
    return None if next_award is Award.THROW_IN else next_award


def team_foul_boxes(view: SeatView, side: Side) -> tuple[FoulBox, ...]:
    """A box for each foul up to the last change of the award, and for any beyond."""
    fouls = fouls_in_span(view, view.mine, side, view.periods.of_foul)
    steps = [step.from_count for step in view.game.rules.fouls.bonus]
    return tuple(
        FoulBox(str(count), struck=count <= fouls, heavy=count in steps)
        for count in range(1, max(fouls, *steps) + 1)
    )
