"""The timer's record: what the clock seat's entries amount to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.game_clock import GameClock
from tablesync.core.periods import BEFORE_THE_GAME
from tablesync.core.seat_record import SeatRecord, Standing
from tablesync.core.tally import EMPTY_TALLY, mark_of

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.periods import PeriodState
    from tablesync.core.rules import RuleSet
    from tablesync.core.tally import Tally

__all__ = ["Board"]


class Board:
    """Scoreboard and clock, kept up to date entry by entry."""

    def __init__(self, rules: RuleSet) -> None:
        self.record = SeatRecord()
        self._rules = rules
        self._clear()

    def _clear(self) -> None:
        self._tally = EMPTY_TALLY
        self._periods = BEFORE_THE_GAME
        self._clock = GameClock(self._rules)

    @property
    def tally(self) -> Tally:
        """What the scoreboard shows."""
        return self._tally

    @property
    def clock(self) -> GameClock:
        """The game clock; a strike replaces it, so ask for it anew."""
        return self._clock

    @property
    def periods(self) -> PeriodState:
        """The period this seat is in."""
        return self._periods

    def apply(self, entry: Entry) -> None:
        """Takes the clock seat's next entry, in the common order."""
        if self.record.take(entry):
            self._clear()
            for line in self.record.standing():
                self._count(line)
        elif self.record.counts(entry):
            self._count(Standing(entry, entry.act, entry.table_time_ms))

    def _count(self, line: Standing) -> None:
        mark = mark_of(line.act, self._rules)
        if mark is not None:
            self._tally = self._tally.after(mark, self._periods.of_foul)
        self._periods = self._periods.after(line.act)
        self._clock.apply(line.act, line.at_ms)
