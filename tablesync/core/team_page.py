"""One team's page of the book: its players' lines, its fouls, its time-outs."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.core.acts import Charged
from tablesync.core.book_lines import (
    BookedFoul,
    BookedTimeOut,
    PeriodMark,
    PlayerLine,
    Spell,
)
from tablesync.core.foul_rules import CoachCharge
from tablesync.core.tally import raised

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from tablesync.core.acts import Substitution
    from tablesync.core.sheet import Team

__all__ = ["TeamPage"]


class TeamPage:
    """The page of one side. The book alone writes on it."""

    def __init__(self, team: Team) -> None:
        self.team = team
        self._lines = {p.number: PlayerLine(p.number) for p in team.players}
        self._on_court = {p.number for p in team.players if p.starter}
        self._coach_fouls: list[BookedFoul] = []
        self._bench_fouls: list[BookedFoul] = []
        self._coach_charges: list[CoachCharge] = []
        self._time_outs: list[BookedTimeOut] = []
        self._points: tuple[int, ...] = ()
        self._unavailable: dict[str, int] = {}
        self._spells: list[Spell] = []
        self._begun: dict[str, Spell] = {}
        self._period = 0

    @property
    def lines(self) -> Mapping[str, PlayerLine]:
        """Number to line: the roster in its order, then whoever was entered besides."""
        return self._lines

    @property
    def on_court(self) -> frozenset[str]:
        """Who is on court, or between periods who starts the next one."""
        return frozenset(self._on_court)

    @property
    def unavailable(self) -> Mapping[str, int]:
        """Who can't play, to the last period opened then: 0 for before the game."""
        return self._unavailable

    @property
    def spells(self) -> Sequence[Spell]:
        """Every stretch on court, the last ones still open or ended by the period."""
        return (*self._spells, *self._begun.values())

    @property
    def coach_fouls(self) -> Sequence[BookedFoul]:
        """Fouls charged to the coach himself."""
        return self._coach_fouls

    @property
    def bench_fouls(self) -> Sequence[BookedFoul]:
        """Fouls charged to the bench."""
        return self._bench_fouls

    @property
    def coach_charges(self) -> Sequence[CoachCharge]:
        """What stands on the head coach's record: own fouls, and the bench's."""
        return self._coach_charges

    @property
    def time_outs(self) -> Sequence[BookedTimeOut]:
        """The time-outs taken."""
        return self._time_outs

    @property
    def points_by_period(self) -> tuple[int, ...]:
        """Points by period; trailing periods may be absent."""
        return self._points

    def points_in(self, period: int) -> int:
        """The team's points in one period."""
        return self._points[period - 1] if period <= len(self._points) else 0

    def score(self, period: int, points: int) -> None:
        """Adds points to the team's period."""
        self._points = raised(self._points, period, points)

    def line(self, number: str) -> PlayerLine:
        """A player's line, which is begun where the number is not on the roster."""
        return self._lines.get(number) or PlayerLine(number)

    def put(self, line: PlayerLine) -> None:
        """Writes a player's line as it is now."""
        self._lines[line.number] = line

    def charge(self, charged: Charged, number: str | None, foul: BookedFoul) -> None:
        """Enters a foul where it is charged."""
        match charged, number:
            case Charged.PLAYER, str():
                self.put(self.line(number).with_foul(foul))
            case Charged.COACH, _:
                self._coach_fouls.append(foul)
            case _:
                self._bench_fouls.append(foul)

    def charge_coach(self, charge: CoachCharge) -> None:
        """Puts a foul on the head coach's record, where it belongs there."""
        if charge is not CoachCharge.NONE:
            self._coach_charges.append(charge)

    def take_time_out(self, time_out: BookedTimeOut) -> None:
        """Enters a time-out."""
        self._time_outs.append(time_out)

    def miss(self, number: str, since_period: int) -> None:
        """Notes that a player can't play, or not any more."""
        self._unavailable[number] = since_period

    def open_period(self, period: int, at_ms: int) -> None:
        """Begins a period with whoever is on court.

        Where it was closed by mistake and is opened again, whoever has come or gone in
        between played a part of it.
        """
        if period != self._period:
            self._spells += self._begun.values()
            self._begun = {
                number: Spell(number, period, None, None) for number in self._on_court
            }
            self._period = period
        else:
            self._move(self._on_court - self._begun.keys(), at_ms)
            self._move(self._begun.keys() - self._on_court, at_ms)
        for number in [*self._lines, *(self._on_court - self._lines.keys())]:
            line = self.line(number)
            is_new = len(line.marks) < period
            mark = line.mark(period)
            if number in self._on_court and mark is PeriodMark.NONE:
                mark = PeriodMark.FULL if is_new else PeriodMark.PART
            elif number not in self._on_court and mark is PeriodMark.FULL:
                mark = PeriodMark.PART
            self.put(line.with_mark(period, mark))

    def substitute_between(self, act: Substitution) -> None:
        """Changes who starts the next period."""
        self._on_court = (self._on_court - set(act.off)) | set(act.on)

    def substitute(self, act: Substitution, at_ms: int) -> None:
        """Changes who is on court in the open period."""
        moved = (set(act.off) & self._on_court) | (set(act.on) - self._on_court)
        self.substitute_between(act)
        self._move(moved, at_ms)
        for number in moved:
            self.put(self.line(number).with_mark(self._period, PeriodMark.PART))

    def _move(self, numbers: Iterable[str], at_ms: int) -> None:
        """Ends the spells of those who have one, begins one for the others."""
        for number in sorted(numbers):
            if number in self._begun:
                spell = self._begun.pop(number)
                self._spells.append(replace(spell, to_ms=at_ms))
            else:
                self._begun[number] = Spell(number, self._period, at_ms, None)
