"""Moments of an invented game, for the pictures of the screens."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from mobile.presenters.courts import Court
from tablesync.core.acts import (
    Arrow,
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    ClosePeriod,
    Foul,
    FreeThrow,
    OpenPeriod,
    Points,
    Protest,
    Seat,
    SetClock,
    Side,
    Signer,
    SignOff,
    Substitution,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.sheet import GameSheet, Official, Player, Team
from tablesync.core.summary import PAIR, Linked, summary_of
from tablesync.core.tally import PerSide
from tests.mobile.table import FakeTable

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "SHEET",
    "agreed",
    "court",
    "courts",
    "mismatch",
    "notice",
    "running",
    "settling",
    "signed",
    "time_out",
]


def _team(name: str, colour: str, coach: str, players: str) -> Team:
    listed = []
    for place, entry in enumerate(players.split("; ")):
        number, player = entry.split(" ", 1)
        listed.append(Player(number, player, starter=place < 5))
    return Team(name, colour, coach, tuple(listed))


SHEET = GameSheet(
    title="Harbour Mills v Kestrel Park",
    rules="fiba-2024",
    rule_text="",
    teams=PerSide(
        _team(
            "Harbour Mills",
            "white",
            "T. Ashby",
            "4 A. Marlowe; 7 B. Quill; 11 C. Oduya; 15 D. Fenn; 21 E. Tarrant; "
            "5 F. Sable; 8 G. Iwu; 9 H. Brand; 12 I. Roque; 23 J. Okoro; "
            "30 K. Varga; 33 L. Nand",
        ),
        _team(
            "Kestrel Park",
            "green",
            "S. Lowell",
            "3 J. Corry; 8 K. Aldous; 10 L. Venn; 14 M. Okoye; 22 N. Strand; "
            "5 O. Pike; 6 P. Rook; 13 Q. Hale; 18 R. Soto; 20 S. Dahl; "
            "33 T. Marsh; 44 U. Teo",
        ),
    ),
    court="2",
    date="2026-11-21",
    venue="Saltmarsh Sports Hall",
    officials=(
        Official("scorer", "I. Wetherby"),
        Official("timer", "R. Salter"),
        Official("referee", "V. Lind"),
    ),
)

HOME, AWAY = Side.HOME, Side.AWAY
MOST_WAITS = 120


def _personal(side: Side, number: str) -> Foul:
    return Foul(side, number, Charged.PLAYER, "personal")


def _goal(table: FakeTable, side: Side, number: str, points: int = 2) -> None:
    table.both(Basket(side, number, points), Points(side, points))


def _foul(table: FakeTable, side: Side, number: str, kind: str = "personal") -> None:
    table.both(Foul(side, number, Charged.PLAYER, kind), TeamFoul(side))


def agreed() -> FakeTable:
    """In the second quarter, both records the same in everything."""
    table = FakeTable(SHEET)
    table.both(OpenPeriod(1), OpenPeriod(1))
    table.enter(Seat.CLOCK, ClockStart())
    for side, number, points in (
        (HOME, "4", 2),
        (AWAY, "3", 3),
        (HOME, "11", 2),
        (HOME, "15", 3),
        (AWAY, "10", 2),
        (AWAY, "22", 2),
        (HOME, "7", 2),
    ):
        _goal(table, side, number, points)
    _foul(table, AWAY, "10")
    table.both(FreeThrow(HOME, "4", made=True), Points(HOME, 1))
    table.enter(Seat.BOOK, FreeThrow(HOME, "4", made=False))
    table.enter(Seat.BOOK, Substitution(AWAY, ("5",), ("8",)))
    table.both(OpenPeriod(2), OpenPeriod(2))
    table.both(Arrow(AWAY), Arrow(AWAY))
    table.enter(Seat.BOOK, Substitution(AWAY, ("8",), ("5",)))
    for side, number, points in (
        (HOME, "4", 2),
        (AWAY, "14", 2),
        (HOME, "21", 2),
        (AWAY, "3", 2),
        (HOME, "11", 3),
    ):
        _goal(table, side, number, points)
    for side, number in ((HOME, "4"), (AWAY, "10"), (AWAY, "10"), (AWAY, "3")):
        _foul(table, side, number)
    _foul(table, HOME, "11", "technical")
    table.both(TimeOut(HOME, TimeOutLength.FULL), TimeOut(HOME, TimeOutLength.FULL))
    table.enter(Seat.BOOK, Substitution(HOME, ("5", "12"), ("7", "15")))
    table.enter(Seat.CLOCK, SetClock(151_000), ClockStart(), ClockStop())
    table.wait(500)
    return table


def settling() -> FakeTable:
    """The book has a foul for which the board has still to come."""
    table = agreed()
    table.enter(Seat.BOOK, _personal(HOME, "21"))
    table.wait(2_000)
    return table


def mismatch() -> FakeTable:
    """The board has missed a goal, and another act is settling."""
    table = agreed()
    table.enter(Seat.BOOK, Basket(AWAY, "8", 2))
    _wait_for_finding(table)
    table.enter(Seat.BOOK, _personal(HOME, "21"))
    table.wait(2_000)
    return table


def _wait_for_finding(table: FakeTable) -> None:
    """Waits until the slip is raised, and then for a time that is always the same.

    So no picture depends on how soon the check is sure.
    """
    for _ in range(MOST_WAITS):
        if table.game.open_findings():
            break
        table.wait(1_000)
    assert table.game.open_findings()
    table.wait(47_000)


def notice() -> FakeTable:
    """A player has had his fifth foul, which the referees must be told."""
    table = agreed()
    for _ in range(2):
        _foul(table, AWAY, "10")
    table.wait(500)
    return table


def running() -> FakeTable:
    """The clock runs, in the last minute of the quarter."""
    table = agreed()
    table.enter(Seat.CLOCK, SetClock(48_700), ClockStart())
    table.wait(5_200)
    return table


def time_out() -> FakeTable:
    """A time-out, at the moment of its warning signal."""
    table = agreed()
    table.both(TimeOut(AWAY, TimeOutLength.FULL), TimeOut(AWAY, TimeOutLength.FULL))
    table.wait(49_500)
    return table


def signed() -> FakeTable:
    """The game is over, and all but the referee have signed."""
    table = agreed()
    table.both(ClosePeriod(2), ClosePeriod(2))
    for period, arrow in ((3, HOME), (4, AWAY)):
        table.both(OpenPeriod(period), OpenPeriod(period))
        table.both(Arrow(arrow), Arrow(arrow))
        _goal(table, HOME, "4")
        _goal(table, AWAY, "22", 3)
        table.both(ClosePeriod(period), ClosePeriod(period))
    table.enter(Seat.BOOK, SignOff(Signer.SCORER, "I. Wetherby"))
    table.enter(Seat.CLOCK, SignOff(Signer.TIMER, "R. Salter"))
    table.enter(Seat.BOOK, Protest(AWAY, "The last time-out was not granted."))
    table.wait(500)
    return table


def courts(count: int) -> tuple[list[Court], int]:
    """So many courts of a tournament, in every state, and the time there."""
    kinds = (agreed, mismatch, settling, signed)
    tables = {kind: kind() for kind in kinds}
    now_ms = max(table.now_ms for table in tables.values())
    order = (agreed, agreed, mismatch, agreed, settling, agreed, signed)
    found = []
    for number in range(1, count + 1):
        silent_ms = {Seat.CLOCK: 9_000 if number % 5 == 0 else 0}
        one = court(tables[order[number % len(order)]], now_ms, silent_ms).summary
        named = replace(one.named, court=str(number))
        found.append(Court(str(number), replace(one, named=named)))
    return found, now_ms


def court(table: FakeTable, now_ms: int, silent_ms: Mapping[Seat, int]) -> Court:
    """A court as a relay tells of it.

    Args:
        table: the game.
        now_ms: the table time.
        silent_ms: for how long a seat has not been linked, if it has not.
    """
    links = {
        seat: Linked(seat, 0, now_ms - silent_ms[seat])
        if silent_ms.get(seat)
        else Linked(seat, 1, 0)
        for seat in PAIR
    }
    *_, last = [None, *table.game.history]
    return Court(table.game.sheet.court, summary_of(table.game, links, last))
