from __future__ import annotations

from dataclasses import replace

import pytest

from mobile.presenters.clock_board import clock_board, intent_of_key, number_pad
from mobile.presenters.desk import Desk
from mobile.presenters.intents import Enter, Page, TurnTo, TypeDigit
from tablesync.core.acts import (
    Arrow,
    Basket,
    ClockStart,
    ClockStop,
    ClosePeriod,
    OpenPeriod,
    Points,
    Seat,
    SetClock,
    Side,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tests.mobile.table import FakeTable
from tests.scribe import SHEET


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def test_the_great_key_opens_starts_stops_and_ends_a_period() -> None:
    table = FakeTable()
    assert clock_board(table.view(Seat.CLOCK)).great.intent == Enter((OpenPeriod(1),))
    table.both(OpenPeriod(1), OpenPeriod(1))
    assert clock_board(table.view(Seat.CLOCK)).great.intent == Enter((ClockStart(),))
    table.enter(Seat.CLOCK, ClockStart())
    great = clock_board(table.view(Seat.CLOCK)).great
    assert (great.label, great.intent) == ("STOP", Enter((ClockStop(),)))
    table.wait(600_000)
    great = clock_board(table.view(Seat.CLOCK)).great
    assert (great.label, great.intent) == ("end 1st quarter", TurnTo(Page.CLOSE_OUT))
    table.both(ClosePeriod(1), ClosePeriod(1))
    assert clock_board(table.view(Seat.CLOCK)).great.intent == Enter((OpenPeriod(2),))


def test_the_time_runs_down_with_tenths_in_the_last_minute() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, ClockStart())
    table.wait(61_000)
    board = clock_board(table.view(Seat.CLOCK))
    assert (board.time, board.running) == ("8:59", True)
    table.wait(499_500)
    assert clock_board(table.view(Seat.CLOCK)).time == "39.5"


def test_a_tied_game_goes_on_and_one_that_is_won_is_signed_off() -> None:
    table = _opened()
    for period in range(2, 5):
        table.both(OpenPeriod(period), OpenPeriod(period))
    table.both(ClosePeriod(4), ClosePeriod(4))
    assert clock_board(table.view(Seat.CLOCK)).step.label == "open 1st overtime"
    table.both(Basket(Side.HOME, "4", 2), Points(Side.HOME, 2))
    assert clock_board(table.view(Seat.CLOCK)).step.intent == TurnTo(Page.SIGN_OFF)


def test_every_key_of_the_board_has_its_own_key_of_the_keyboard() -> None:
    for rules in ("fiba-2024", "nfhs-2023"):
        table = FakeTable(replace(SHEET, rules=rules))
        legends = [key.legend for key in clock_board(table.view(Seat.CLOCK)).every_key]
        assert len(legends) == len(set(legends))
        assert all(legends)


@pytest.mark.parametrize(
    ("key", "act"),
    [
        ("a", Points(Side.HOME, 1)),
        ("s", Points(Side.HOME, 2)),
        ("d", Points(Side.HOME, 3)),
        ("f", TeamFoul(Side.HOME)),
        ("t", TimeOut(Side.HOME, TimeOutLength.FULL)),
        ("j", Points(Side.AWAY, 1)),
        ("k", Points(Side.AWAY, 2)),
        ("l", Points(Side.AWAY, 3)),
        ("h", TeamFoul(Side.AWAY)),
        ("u", TimeOut(Side.AWAY, TimeOutLength.FULL)),
        ("left", Arrow(Side.HOME)),
        ("right", Arrow(Side.AWAY)),
        ("spacebar", ClockStart()),
    ],
)
def test_the_keyboard_enters_what_the_key_says(key: str, act: object) -> None:
    keys = clock_board(_opened().view(Seat.CLOCK)).every_key
    assert intent_of_key(keys, key) == Enter((act,))  # type: ignore[arg-type]


def test_the_left_hand_has_the_team_on_the_left() -> None:
    board = clock_board(_opened().view(Seat.CLOCK, left=Side.AWAY))
    assert intent_of_key(board.every_key, "s") == Enter((Points(Side.AWAY, 2),))
    assert board.teams[0].name == "Tidegate"


def test_another_key_means_nothing() -> None:
    assert intent_of_key(clock_board(_opened().view(Seat.CLOCK)).every_key, "q") is None


def test_the_board_says_when_the_next_foul_brings_shots_and_what_is_left() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, *(TeamFoul(Side.HOME) for _ in range(3)))
    assert clock_board(table.view(Seat.CLOCK)).teams[0].words == "white"
    table.enter(Seat.CLOCK, TeamFoul(Side.HOME))
    table.enter(Seat.CLOCK, TimeOut(Side.HOME, TimeOutLength.FULL))
    team = clock_board(table.view(Seat.CLOCK)).teams[0]
    assert team.words == "white · two shots"
    assert team.foul.label == "team foul · 4"
    assert team.time_outs[0].label == "time-out · 1 left"


def test_the_arrows_end_that_it_points_to_has_nothing_to_do() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, Arrow(Side.AWAY))
    left, right = clock_board(table.view(Seat.CLOCK)).arrows
    assert (left.filled, right.filled) == (False, True)
    assert (left.intent, right.intent) == (Enter((Arrow(Side.HOME),)), None)


@pytest.mark.parametrize(
    ("digits", "remaining_ms"),
    [
        ("231", 151_000),
        ("7", 7_000),
        ("42.5", 42_500),
        ("1000", 600_000),
        ("59", 59_000),
    ],
)
def test_a_time_is_typed_as_it_is_read(digits: str, remaining_ms: int) -> None:
    table = _opened()
    desk = table.touch(Seat.CLOCK, Desk(), *map(TypeDigit, digits))
    done = number_pad(table.view(Seat.CLOCK), desk).done
    assert done.intent == Enter((SetClock(remaining_ms),))


@pytest.mark.parametrize("digits", ["", "1001", "99999"])
def test_no_time_and_more_than_a_period_cannot_be_set(digits: str) -> None:
    table = _opened()
    desk = table.touch(Seat.CLOCK, Desk(), *map(TypeDigit, digits))
    assert number_pad(table.view(Seat.CLOCK), desk).done.intent is None
