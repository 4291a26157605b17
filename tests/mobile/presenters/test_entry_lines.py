from __future__ import annotations

from mobile.presenters.desk import Desk
from mobile.presenters.entry_lines import entry_lines, take_back
from mobile.presenters.intents import Amend, Enter
from tablesync.core.acts import (
    Answer,
    Answered,
    Basket,
    ClockStart,
    Note,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Strike,
)
from tests.mobile.table import FakeTable


def _opened() -> FakeTable:
    table = FakeTable()
    table.both(OpenPeriod(1), OpenPeriod(1))
    return table


def test_the_newest_entry_stands_first_in_words_with_its_moment() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    first, second = entry_lines(table.view(Seat.BOOK), 5)
    assert first.words == "white 4: two points"
    assert first.moment == "10:00"
    assert second.words == "1st quarter opens"


def test_no_more_lines_than_asked_for() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, *(Points(Side.HOME, 1) for _ in range(9)))
    assert len(entry_lines(table.view(Seat.CLOCK), 4)) == 4


def test_a_line_strikes_its_entry_out_and_then_restores_it() -> None:
    table = _opened()
    goal = table.enter(Seat.BOOK, Basket(Side.HOME, "4", 2))
    line = entry_lines(table.view(Seat.BOOK), 1)[0]
    assert line.strike == Enter((Strike(goal.id),))
    assert line.amend == Amend(goal.id)
    table.touch(Seat.BOOK, Desk(), line.strike)
    struck = entry_lines(table.view(Seat.BOOK), 1)[0]
    assert (struck.struck, struck.strike_label, struck.amend) == (True, "restore", None)
    assert struck.strike is not None
    table.touch(Seat.BOOK, Desk(), struck.strike)
    assert not entry_lines(table.view(Seat.BOOK), 1)[0].struck
    assert table.game.book.tally.score.home == 2


def test_words_for_the_record_cannot_be_struck_by_a_tap() -> None:
    table = _opened()
    table.enter(Seat.BOOK, Note("the shot clock was reset late"))
    line = entry_lines(table.view(Seat.BOOK), 1)[0]
    assert (line.strike, line.amend) == (None, None)


def test_answers_to_cards_are_no_lines() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, Answered("00", Answer.HELD))
    assert entry_lines(table.view(Seat.CLOCK), 1)[0].words == "1st quarter opens"


def test_take_back_strikes_the_newest_that_still_stands() -> None:
    table = _opened()
    first = table.enter(Seat.CLOCK, Points(Side.HOME, 2))
    second = table.enter(Seat.CLOCK, Points(Side.HOME, 3))
    for expected in (second, first):
        intent = take_back(table.view(Seat.CLOCK))
        assert intent == Enter((Strike(expected.id),))
        assert intent is not None
        table.touch(Seat.CLOCK, Desk(), intent)
    assert table.game.board.tally.score.home == 0


def test_taking_back_a_start_stops_the_clock_as_if_it_had_not_run() -> None:
    table = _opened()
    table.enter(Seat.CLOCK, ClockStart())
    table.wait(5_000)
    intent = take_back(table.view(Seat.CLOCK))
    assert intent is not None
    table.touch(Seat.CLOCK, Desk(), intent)
    assert table.view(Seat.CLOCK).clock.remaining_ms == 600_000


def test_nothing_entered_is_nothing_to_take_back() -> None:
    assert take_back(FakeTable().view(Seat.CLOCK)) is None
