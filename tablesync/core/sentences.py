"""The sentences of the check: one line that an official understands at a glance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.act_words import clock_words
from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    Foul,
    FreeThrow,
    OpenPeriod,
    Points,
    Seat,
    Side,
    TeamFoul,
    TimeOut,
)

if TYPE_CHECKING:
    from tablesync.core.game_clock import ClockReading
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet

__all__ = ["Phrases", "record_name"]


def record_name(seat: Seat) -> str:
    """What the table calls a seat's record."""
    match seat:
        case Seat.BOOK:
            return "the book"
        case Seat.CLOCK:
            return "the board"
        case Seat.VISITING:
            return "the visiting book"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


class Phrases:
    """Says what the check found in the words of one game."""

    def __init__(self, sheet: GameSheet, rules: RuleSet) -> None:
        self._sheet = sheet
        self._rules = rules

    def team(self, side: Side) -> str:
        """A team by its colour and name."""
        team = self._sheet.teams[side]
        return f"{team.colour} {team.name}"

    def act(self, act: Act) -> str:
        """What an act put on record, without its team: "#7's 2 points"."""
        match act:
            case Basket(number=number, points=points):
                return f"{points} points by {number}"
            case FreeThrow(number=number):
                return f"a free throw by {number}"
            case Points(points=points):
                return f"+{points}"
            case Foul(number=str(number)):
                return f"a foul by {number}"
            case Foul() | TeamFoul():
                return "a team foul"
            case TimeOut():
                return "a time-out"
            case OpenPeriod(period=period):
                return f"the {self._rules.period_title(period)}"
            case Arrow(side=side):
                return f"the arrow to {self.team(side)}"
            case _:
                return "an entry"

    def moment(self, reading: ClockReading) -> str:
        """Period and clock: "2nd quarter, 4:31"."""
        if reading.period == 0:
            return "before the game"
        title = self._rules.period_title(reading.period)
        return f"{title}, {clock_words(reading.remaining_ms)}"

    def only(self, has: Seat, act: Act, side: Side, lacks: Seat) -> str:
        """One record has an act that the other lacks."""
        return (
            f"{_capital(self.team(side))}: {record_name(has)} has {self.act(act)}, "
            f"{record_name(lacks)} does not"
        )

    def twice(self, seat: Seat, act: Act, side: Side) -> str:
        """One record has an act twice."""
        return (
            f"{_capital(self.team(side))}: {record_name(seat)} has "
            f"{self.act(act)} twice, probably one act"
        )

    def sides(
        self, first: tuple[Seat, Act, Side], other: tuple[Seat, Act, Side]
    ) -> str:
        """One act, given to different teams."""
        (seat, act, side), (seat2, act2, side2) = first, other
        return (
            f"One act, two teams: {record_name(seat)} gives {self.act(act)} to "
            f"{self.team(side)}, {record_name(seat2)} {self.act(act2)} to "
            f"{self.team(side2)}"
        )

    def points(
        self, side: Side, first: tuple[Seat, Act], other: tuple[Seat, Act]
    ) -> str:
        """One act, different points."""
        (seat, act), (seat2, act2) = first, other
        return (
            f"{_capital(self.team(side))}: {record_name(seat)} has {self.act(act)}, "
            f"{record_name(seat2)} {self.act(act2)}"
        )

    def period(self, ahead: tuple[Seat, int], behind: tuple[Seat, int]) -> str:
        """The records are in different periods."""
        (seat, period), (seat2, period2) = ahead, behind
        where = (
            f"still in the {self._rules.period_title(period2)}"
            if period2
            else "not yet in any period"
        )
        return (
            f"{_capital(record_name(seat))} is in the "
            f"{self._rules.period_title(period)}, {record_name(seat2)} {where}"
        )

    def arrow(
        self, first: tuple[Seat, Side | None], other: tuple[Seat, Side | None]
    ) -> str:
        """The records differ in the arrow."""
        (seat, side), (seat2, side2) = first, other
        return (
            f"The arrow: {record_name(seat)} has it to {self._arrow(side)}, "
            f"{record_name(seat2)} to {self._arrow(side2)}"
        )

    def _arrow(self, side: Side | None) -> str:
        return "nobody" if side is None else self.team(side)

    def awaited(self, seat: Seat, act: Act, side: Side | None) -> str:
        """What is awaited, and from whom."""
        what = self.act(act) if side is None else f"{self.team(side)}, {self.act(act)}"
        return f"{_capital(record_name(seat))} still to come: {what}"
