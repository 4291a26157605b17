"""The scorer's record: what a scorer's entries amount to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Basket,
    Foul,
    FreeThrow,
    OpenPeriod,
    Side,
    Substitution,
    TimeOut,
)
from tablesync.core.book_lines import BookedFoul, BookedTimeOut, Scored
from tablesync.core.periods import BEFORE_THE_GAME
from tablesync.core.seat_record import SeatRecord
from tablesync.core.tally import EMPTY_TALLY, PerSide, mark_of
from tablesync.core.team_page import TeamPage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tablesync.core.entries import Entry
    from tablesync.core.periods import PeriodState
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Tally

__all__ = ["Book"]


class Book:
    """The complete book, kept up to date entry by entry.

    Everything entered is recorded, whether or not it makes sense: the referees may have
    ruled so. What does not make sense is for the notices to say.
    """

    def __init__(self, sheet: GameSheet, rules: RuleSet) -> None:
        self.record = SeatRecord()
        self._sheet = sheet
        self._rules = rules
        self._clear()

    def _clear(self) -> None:
        self._tally = EMPTY_TALLY
        self._periods = BEFORE_THE_GAME
        self._fouled_since: set[Side] = set()
        self._running: list[Scored] = []
        self._pages = PerSide(
            TeamPage(self._sheet.teams.home), TeamPage(self._sheet.teams.away)
        )

    @property
    def tally(self) -> Tally:
        """The part that the clock seat keeps too."""
        return self._tally

    @property
    def periods(self) -> PeriodState:
        """The period this seat is in."""
        return self._periods

    @property
    def pages(self) -> PerSide[TeamPage]:
        """Each team's page; a strike replaces them, so ask for them anew."""
        return self._pages

    @property
    def running_score(self) -> Sequence[Scored]:
        """Every point scored, both teams in one order."""
        return self._running

    def apply(self, entry: Entry) -> None:
        """Takes this seat's next entry, in the common order."""
        if self.record.take(entry):
            self._clear()
            for standing in self.record.standing():
                self._enter(standing)
        else:
            self._enter(entry)

    def _enter(self, entry: Entry) -> None:
        act = entry.act
        mark = mark_of(act, self._rules)
        if mark is not None:
            self._tally = self._tally.after(mark, self._periods.of_foul)
        match act:
            case Basket(side=side, number=number, points=points):
                line = self._pages[side].line(number)
                self._pages[side].put(line.with_goal(points))
                self._score(entry, side, number, points)
            case FreeThrow(side=side, number=number, made=made):
                line = self._pages[side].line(number)
                self._pages[side].put(line.with_free_throw(int(made)))
                if made:
                    self._score(entry, side, number, 1)
            case Foul():
                self._foul(entry, act)
            case TimeOut(side=side, length=length):
                self._pages[side].take_time_out(
                    BookedTimeOut(
                        entry.id, length, self._periods.of_play, entry.table_time_ms
                    )
                )
            case Substitution(side=side):
                is_open = self._periods.is_open
                self._pages[side].substitute(
                    act, self._periods.last if is_open else None
                )
            case OpenPeriod(period=period):
                self._fouled_since.clear()
                for _, page in self._pages:
                    page.open_period(period)
            case _:
                pass
        self._periods = self._periods.after(act)

    def _foul(self, entry: Entry, act: Foul) -> None:
        if not self._periods.is_open:
            self._fouled_since.add(act.side)
        foul = BookedFoul(
            entry.id, act.kind, self._periods.of_foul, entry.table_time_ms
        )
        self._pages[act.side].charge(act.charged, act.number, foul)

    def _score(self, entry: Entry, side: Side, number: str, points: int) -> None:
        # A free throw between periods belongs to the period of the foul it is for.
        follows_foul = points == 1 and side.other in self._fouled_since
        period = self._periods.of_foul if follows_foul else self._periods.of_play
        self._pages[side].score(period, points)
        self._running.append(
            Scored(
                entry.id,
                side,
                number,
                points,
                self._tally.score[side],
                period,
                entry.table_time_ms,
            )
        )
