from __future__ import annotations

from mobile.presenters.timers import Signal, Timer, timer
from tablesync.core.acts import (
    ClockStart,
    ClosePeriod,
    OpenPeriod,
    Points,
    Seat,
    Side,
    TimeOut,
    TimeOutLength,
)
from tests.mobile.table import FakeTable


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def _timer(table: FakeTable) -> Timer:
    shown = timer(table.view(Seat.CLOCK))
    assert shown is not None
    return shown


def test_a_time_out_is_timed_and_warns_ten_seconds_before_its_end() -> None:
    """FIBA Art. 49 (facts T6): signals at 50 seconds and at 60."""
    table = _opened()
    table.enter(Seat.CLOCK, TimeOut(Side.AWAY, TimeOutLength.FULL))
    table.wait(49_000)
    assert (_timer(table).title, _timer(table).text) == ("time-out blue", "11.0")
    assert _timer(table).signal is None
    table.wait(1_000)
    assert _timer(table).signal is Signal.WARNING
    table.wait(3_000)
    assert _timer(table).signal is None
    table.wait(7_000)
    assert (_timer(table).signal, _timer(table).remaining_ms) == (Signal.END, 0)
    table.wait(60_000)
    assert timer(table.view(Seat.CLOCK)) is None


def test_starting_the_clock_ends_the_time_out() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, TimeOut(Side.AWAY, TimeOutLength.FULL), ClockStart())
    assert timer(table.view(Seat.CLOCK)) is None


def test_points_entered_during_a_time_out_leave_it_running() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, TimeOut(Side.AWAY, TimeOutLength.FULL))
    table.enter(Seat.CLOCK, Points(Side.AWAY, 1))
    assert _timer(table).title == "time-out blue"


def test_the_interval_is_timed_from_the_close_to_the_next_period() -> None:
    """FIBA Art. 8.2 (facts P2): two minutes; half-time fifteen."""
    table = _opened()
    table.enter(Seat.CLOCK, ClosePeriod(1))
    assert (_timer(table).title, _timer(table).text) == ("interval", "2:00")
    table.enter(Seat.CLOCK, OpenPeriod(2))
    assert timer(table.view(Seat.CLOCK)) is None
    table.enter(Seat.CLOCK, ClosePeriod(2))
    assert (_timer(table).title, _timer(table).text) == ("half-time", "15:00")


def test_no_interval_follows_a_game_that_is_won() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, Points(Side.HOME, 2), OpenPeriod(4), ClosePeriod(4))
    assert timer(table.view(Seat.CLOCK)) is None
