"""What one seat's screens are made from at one moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat, Side
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.texts.shape import Texts
    from tablesync.core.acts import SeatGiven
    from tablesync.core.board import Board
    from tablesync.core.book import Book
    from tablesync.core.game import Game
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.periods import PeriodState
    from tablesync.core.seat_record import SeatRecord
    from tablesync.core.tally import Tally
    from tablesync.errors import CorruptJournalError, TableSyncError

__all__ = ["LOST_AFTER_MS", "Link", "SeatView"]

LOST_AFTER_MS = 1_800
"""A partner who has not been heard for longer is shown as out of touch.

Devices say every second that they are there, and a lost link is to show within two.
"""


@dataclass(frozen=True, slots=True)
class Link:
    """How this device stands with the others."""

    connected: bool
    """Whether it is connected to the relay."""
    heard_ms: int | None
    """When the partner was last heard, in table time; None before the first time."""
    to_send: int
    """Own entries of which the relay has not yet said that they are on its disk."""


@dataclass(frozen=True, slots=True)
class SeatView:
    """The game as this device holds it, and the moment at which it is looked at."""

    game: Game
    seat: Seat
    now_ms: int
    """In table time."""
    link: Link
    left: Side
    """Whose bench is on the left, seen from the table."""
    texts: Texts
    trouble: TableSyncError | None = None
    """Why the last act could not be put on record, if it could not."""
    damage: CorruptJournalError | None = None
    """What of this device's journal could not be read, if anything."""
    asking: tuple[SeatGiven, ...] = ()
    """What would let in each device that has asked for a seat."""

    @property
    def sides(self) -> tuple[Side, Side]:
        """Both sides as their benches stand, left first."""
        return (self.left, self.left.other)

    def colour(self, side: Side) -> str:
        """A team's colour, in the words of the screen."""
        return self.texts.say.colour(self.game.sheet.colour(side))

    @property
    def partner(self) -> Seat:
        """The seat whose record stands beside one's own."""
        return Seat.BOOK if self.seat is Seat.CLOCK else Seat.CLOCK

    @property
    def mine(self) -> Tally:
        """One's own tally."""
        return self.game.tally(self.seat)

    @property
    def theirs(self) -> Tally:
        """The partner's tally, as far as it has come in."""
        return self.game.tally(self.partner)

    @property
    def my_record(self) -> SeatRecord:
        """One's own entries."""
        return self._kept(self.seat).record

    @property
    def their_record(self) -> SeatRecord:
        """The partner's entries, as far as they have come in."""
        return self._kept(self.partner).record

    def _kept(self, seat: Seat) -> Book | Board:
        return self.game.board if seat is Seat.CLOCK else self.game.book

    @property
    def periods(self) -> PeriodState:
        """The period that one's own record is in."""
        return self._kept(self.seat).periods

    @property
    def clock(self) -> ClockReading:
        """What the game clock shows."""
        return self.game.board.clock.reading(self.now_ms)

    @property
    def silent_ms(self) -> int | None:
        """For how long the partner has not been heard; None if never yet."""
        if self.link.heard_ms is None:
            return None
        return max(0, self.now_ms - self.link.heard_ms)

    @property
    def in_touch(self) -> bool:
        """Whether the partner is heard at this moment."""
        silent_ms = self.silent_ms
        return (
            self.link.connected and silent_ms is not None and silent_ms <= LOST_AFTER_MS
        )
