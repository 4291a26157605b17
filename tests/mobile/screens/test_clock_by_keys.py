from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mobile.presenters.intents import Enter
from tablesync.core.acts import (
    Arrow,
    ClockStart,
    ClockStop,
    ClosePeriod,
    OpenPeriod,
    Points,
    Seat,
    SetClock,
    Side,
    Strike,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tests.mobile import scenes
from tests.mobile.seat_on_screen import SeatAtFakeTable
from tests.mobile.table import FakeTable

if TYPE_CHECKING:
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

TABLET, PHONE = (1280, 800), (360, 640)
SIZES = pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])


@SIZES
@pytest.mark.parametrize(
    "act",
    [
        Points(Side.HOME, 1),
        Points(Side.AWAY, 3),
        TeamFoul(Side.AWAY),
        TimeOut(Side.HOME, TimeOutLength.FULL),
        Arrow(Side.HOME),
        ClockStart(),
    ],
    ids=lambda act: type(act).__name__,
)
def test_one_touch_enters_the_act(
    window: TestWindow, act: Points | Arrow | ClockStart, size: tuple[int, int]
) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK, size)
    clock.touch(clock.key(Enter((act,))))
    assert clock.acts() == [act]


def test_the_clock_starts_when_the_finger_comes_down(window: TestWindow) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK)
    finger = window.down(clock.labelled("START").center)
    window.frames(1)
    clock.settle()
    assert clock.acts() == [ClockStart()]
    window.up(finger)
    clock.settle()
    assert clock.acts() == [ClockStart()]


def test_a_whole_quarter_is_worked_from_the_keyboard(window: TestWindow) -> None:
    table = FakeTable(scenes.SHEET)
    clock = SeatAtFakeTable(window, table, Seat.CLOCK)
    for name in ("spacebar", "spacebar", "s", "k", "spacebar", "f", "h", "j", "right"):
        clock.press(name)
    clock.press("c")
    for name in ("1", "2", ".", "5", "enter"):
        clock.press(name)
    clock.press("backspace")
    clock.press("e")
    clock.touch(clock.labelled("close the 1st quarter"))
    *acts, strike, close = clock.acts()
    assert acts == [
        OpenPeriod(1),
        ClockStart(),
        Points(Side.HOME, 2),
        Points(Side.AWAY, 2),
        ClockStop(),
        TeamFoul(Side.HOME),
        TeamFoul(Side.AWAY),
        Points(Side.AWAY, 1),
        Arrow(Side.AWAY),
        SetClock(12_500),
    ]
    assert isinstance(strike, Strike)
    assert close == ClosePeriod(1)


def test_a_key_that_is_held_down_counts_once(window: TestWindow) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK)
    code = window.code_of("s")
    for _ in range(5):
        clock.stage.key_down(None, code)
    clock.stage.key_up(None, code)
    clock.settle()
    assert clock.acts() == [Points(Side.HOME, 2)]


def test_a_digit_answers_the_card_that_is_shown(window: TestWindow) -> None:
    table = scenes.mismatch()
    clock = SeatAtFakeTable(window, table, Seat.CLOCK)
    clock.press("1")
    assert table.game.board.tally.score.away == 13


def test_escape_leads_back_and_does_not_end_the_program(window: TestWindow) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK)
    clock.press("c")
    assert clock.labelled("delete")
    clock.press("escape")
    assert clock.labelled("START")


def test_every_key_says_which_key_of_the_keyboard_does_the_same(
    window: TestWindow,
) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK)
    legends = {key.label: key.legend for key in clock.every_key()}
    assert (legends["+1"], legends["START"], legends["set time"]) == ("J", "space", "C")
    phone = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK, PHONE)
    assert {key.legend for key in phone.every_key()} == {""}


def test_losing_the_focus_in_mid_entry_keeps_what_was_begun(window: TestWindow) -> None:
    clock = SeatAtFakeTable(window, scenes.agreed(), Seat.CLOCK)
    clock.press("c")
    clock.press("1")
    held = window.code_of("2")
    assert clock.stage.key_down(None, held)
    assert not clock.stage.key_down(None, held)
    clock.stage.focus_changed(None, False)  # noqa: FBT003 - as Kivy calls it
    clock.stage.focus_changed(None, True)  # noqa: FBT003 - as Kivy calls it
    assert clock.shell.desk.digits == "12"
    assert clock.stage.key_down(None, held)
    assert clock.shell.desk.digits == "122"
    assert clock.acts() == []
