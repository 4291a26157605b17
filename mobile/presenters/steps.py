"""What comes next in the game, for either seat: periods, arrow, sign-off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.intents import Enter, Page, TurnTo
from tablesync.core.acts import Arrow, OpenPeriod, Side
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView

__all__ = ["ArrowKey", "NextStep", "arrow_keys", "is_over", "next_step"]


@dataclass(frozen=True, slots=True)
class NextStep:
    """The key that opens a period, ends it, or closes the record."""

    label: str
    intent: Intent


@dataclass(frozen=True, slots=True)
class ArrowKey:
    """One end of the possession arrow."""

    side: Side
    points_here: bool
    intent: Intent | None
    """None where it points there already."""


def is_over(view: SeatView) -> bool:
    """Whether regular play has ended in one's own record and the score is not tied."""
    score = view.mine.score
    periods = view.periods
    played = periods.last >= view.game.rules.periods and not periods.is_open
    return played and score.home != score.away


def next_step(view: SeatView) -> NextStep:
    """What comes next."""
    texts, periods, rules = view.texts.steps, view.periods, view.game.rules
    if periods.is_open:
        title = view.texts.say.period(rules, periods.last)
        return NextStep(texts.end(title), TurnTo(Page.CLOSE_OUT))
    if is_over(view):
        return NextStep(texts.sign_off, TurnTo(Page.SIGN_OFF))
    following = periods.last + 1
    title = view.texts.say.period(rules, following)
    return NextStep(texts.open(title), Enter((OpenPeriod(following),)))


def arrow_keys(view: SeatView) -> tuple[ArrowKey, ArrowKey]:
    """Both ends of the arrow, left first."""
    left, right = view.sides
    return _arrow_key(view, left), _arrow_key(view, right)


def _arrow_key(view: SeatView, side: Side) -> ArrowKey:
    here = view.mine.arrow is side
    return ArrowKey(side, here, None if here else Enter((Arrow(side),)))
