"""Everything that the timer's screen shows, as one value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from mobile.presenters.cards import Card, cards
from mobile.presenters.clock_board import (
    ClockBoard,
    NumberPad,
    clock_board,
    number_pad,
)
from mobile.presenters.entry_lines import EntryLine, entry_lines
from mobile.presenters.intents import Page
from mobile.presenters.strip import Strip, strip

if TYPE_CHECKING:
    from mobile.presenters.desk import Desk
    from mobile.presenters.seat_view import SeatView

__all__ = ["ClockScreen", "clock_screen"]

ENTRIES_ON_BOARD = 4
ENTRIES_IN_ALL = 400


@dataclass(frozen=True, slots=True)
class ClockScreen:
    """The timer's screen."""

    page: Page
    strip: Strip
    board: ClockBoard
    entries: tuple[EntryLine, ...]
    cards: tuple[Card, ...]
    pad: NumberPad | None


def clock_screen(view: SeatView, desk: Desk) -> ClockScreen:
    """The screen as it stands."""
    most = ENTRIES_IN_ALL if desk.page is Page.ENTRIES else ENTRIES_ON_BOARD
    return ClockScreen(
        page=desk.page,
        strip=strip(view),
        board=clock_board(view),
        entries=entry_lines(view, most),
        cards=cards(view, desk),
        pad=number_pad(view, desk) if desk.page is Page.SET_CLOCK else None,
    )
