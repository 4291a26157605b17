"""The scorer's record: what a scorer's entries amount to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Arrow,
    Basket,
    Foul,
    FreeThrow,
    OpenPeriod,
    OwnBasket,
    Side,
    Substitution,
    TimeOut,
    Unavailable,
)
from tablesync.core.book_lines import BookedFoul, BookedTimeOut, Scored
from tablesync.core.periods import BEFORE_THE_GAME
from tablesync.core.seat_record import SeatRecord, Standing
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
        self._arrow_turned_in = 0
        self._shots_for: dict[Side, int] = {}
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
    def arrow_turned_in(self) -> int:
        """The period in which the arrow was last set or turned, or that was to come."""
        return self._arrow_turned_in

    @property
    def running_score(self) -> Sequence[Scored]:
        """Every point scored, both teams in one order."""
        return self._running

    def apply(self, entry: Entry) -> None:
        """Takes this seat's next entry, in the common order."""
        if self.record.take(entry):
            self._clear()
            for line in self.record.standing():
                self._enter(line)
        elif self.record.counts(entry):
            self._enter(Standing(entry, entry.act, entry.table_time_ms))

    def _enter(self, line: Standing) -> None:
        act = line.act
        mark = mark_of(act, self._rules)
        if mark is not None:
            self._tally = self._tally.after(mark, self._periods.of_foul)
        match act:
            case Basket(side=side, number=number, points=points):
                page = self._pages[side]
                page.put(page.line(number).with_goal(points))
                self._score(line, side, number, points)
            case OwnBasket(side=side, points=points):
                self._score(line, side, None, points)
            case FreeThrow(side=side, number=number, made=made):
                page = self._pages[side]
                page.put(page.line(number).with_free_throw(int(made)))
                if made:
                    self._score(line, side, number, 1)
            case Foul():
                self._foul(line, act)
            case TimeOut(side=side, length=length):
                time_out = BookedTimeOut(
                    line.entry.id, length, self._periods.of_play, line.at_ms
                )
                self._pages[side].take_time_out(time_out)
            case Substitution(side=side) if self._periods.is_open:
                self._pages[side].substitute(act, line.at_ms)
            case Substitution(side=side):
                self._pages[side].substitute_between(act)
            case Unavailable(side=side, number=number):
                self._pages[side].miss(number, self._periods.last)
            case Arrow():
                self._arrow_turned_in = self._periods.of_foul
            case OpenPeriod(period=period):
                self._shots_for.clear()
                for _, page in self._pages:
                    page.open_period(period, line.at_ms)
            case _:
                pass
        self._periods = self._periods.after(act)

    def _foul(self, line: Standing, act: Foul) -> None:
        period = self._periods.of_foul
        foul = BookedFoul(line.entry.id, act.kind, period, line.at_ms)
        rule = self._rules.fouls.counted_as(act.charged, act.kind)
        page = self._pages[act.side]
        page.charge(act.charged, act.number, foul)
        page.charge_coach(rule.coach_charge(self._periods))
        if not self._periods.is_open:
            self._shots_for[act.side.other] = self._period_of_shots()

    def _period_of_shots(self) -> int:
        """Where the free throws for a foul between periods belong.

        To the next period, with which the game resumes by them; but where there is none
        they decide whether there will be (NFHS case 2.2.4 A), so to the one played.
        """
        is_level = self._tally.score.home == self._tally.score.away
        is_over = self._periods.last >= self._rules.periods and not is_level
        return self._periods.of_play if is_over else self._periods.of_foul

    def _score(
        self, line: Standing, side: Side, number: str | None, points: int
    ) -> None:
        period = self._periods.of_play
        if points == 1:
            period = self._shots_for.get(side, period)
        self._pages[side].score(period, points)
        total = self._tally.score[side]
        self._running.append(
            Scored(line.entry.id, side, number, points, total, period, line.at_ms)
        )
