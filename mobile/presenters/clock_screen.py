"""Everything that the timer's screen shows, as one value."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.cards import Card, cards
from mobile.presenters.clock_board import (
    ClockBoard,
    NumberPad,
    clock_board,
    intent_of_key,
)
from mobile.presenters.entry_lines import EntryLine, entry_lines
from mobile.presenters.intents import Back
from mobile.presenters.leaves import Leaf, leaf
from mobile.presenters.strip import Strip, strip
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.presenters.seat_view import SeatView
    from mobile.presenters.timers import Timer

__all__ = ["ClockScreen", "clock_screen"]

ENTRIES_ON_BOARD = 4


@dataclass(frozen=True, slots=True)
class ClockScreen:
    """The timer's screen."""

    strip: Strip
    board: ClockBoard
    entries: tuple[EntryLine, ...]
    cards: tuple[Card, ...]
    leaf: Leaf | None
    """What stands in the place of the board, or None for it."""

    @property
    def timer(self) -> Timer | None:
        """The one that runs out next."""
        return self.board.timer

    def meant_by(self, key: str) -> Intent | None:
        """What a key of the keyboard means now, or None.

        Digits answer the card that is shown, unless they are being typed.
        """
        match self.leaf:
            case NumberPad(keys=keys, done=done, back=back):
                return intent_of_key((*keys, done, back), key)
            case None:
                answers = self.cards[0].answers if self.cards else ()
                if key.isdigit() and 0 < int(key) <= len(answers):
                    return answers[int(key) - 1].intent
                return intent_of_key(self.board.every_key, key)
            case _:
                return Back() if key == "escape" else None


def clock_screen(view: SeatView, desk: Desk) -> ClockScreen:
    """The screen as it stands."""
    return ClockScreen(
        strip=strip(view),
        board=clock_board(view),
        entries=entry_lines(view, ENTRIES_ON_BOARD),
        cards=cards(view, desk),
        leaf=leaf(view, desk),
    )
