from __future__ import annotations

from tablesync.core.acts import (
    Act,
    Arrow,
    Basket,
    ClosePeriod,
    Correction,
    FreeThrow,
    OpenPeriod,
    OwnBasket,
    Points,
    Seat,
    Side,
    Strike,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.board import Board
from tablesync.core.book_lines import BookedFoul
from tablesync.core.close_out import (
    PeriodTotals,
    changed_after_close,
    close_out,
    needs_reason,
    period_totals,
)
from tablesync.core.rulesets import rule_set
from tests.scribe import SHEET, BookDesk, Scribe, bench_foul, coach_foul, foul

FIBA, NFHS = rule_set("fiba-2024"), rule_set("nfhs-2023")
HOME, AWAY = Side.HOME, Side.AWAY
FULL = TimeOutLength.FULL


def board_of(*acts: Act) -> Board:
    board, scribe = Board(FIBA), Scribe(Seat.CLOCK)
    for act in acts:
        board.apply(scribe.enter(act))
    return board


def problems(desk: BookDesk, board: Board | None = None) -> list[str]:
    return list(map(str, close_out(SHEET, desk.rules, desk.book, board).problems))


def two_periods() -> BookDesk:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), Basket(HOME, "4", 2), foul(HOME, "4"), ClosePeriod(1))
    desk.enter(OpenPeriod(2), Basket(HOME, "5", 3), TimeOut(HOME, FULL))
    desk.enter(FreeThrow(AWAY, "12", made=True), ClosePeriod(2))
    return desk


def test_the_totals_of_every_period() -> None:
    desk = two_periods()
    first = period_totals(desk.book, 1)
    assert first.home == PeriodTotals(points=2, score=2, team_fouls=1, time_outs=0)
    assert first.away == PeriodTotals(points=0, score=0, team_fouls=0, time_outs=0)
    second = period_totals(desk.book, 2)
    assert second.home == PeriodTotals(points=3, score=5, team_fouls=0, time_outs=1)
    assert second.away == PeriodTotals(points=1, score=1, team_fouls=0, time_outs=0)


def test_two_records_that_agree_add_up() -> None:
    desk = two_periods()
    board = board_of(
        OpenPeriod(1),
        Points(HOME, 2),
        TeamFoul(HOME),
        ClosePeriod(1),
        OpenPeriod(2),
        Points(HOME, 3),
        TimeOut(HOME, FULL),
        Points(AWAY, 1),
        ClosePeriod(2),
    )
    result = close_out(SHEET, FIBA, desk.book, board)
    assert result.period == 2
    assert result.totals == period_totals(desk.book, 2)
    assert result.problems == ()
    assert close_out(SHEET, FIBA, desk.book, None).problems == ()


def test_what_differs_between_the_seats_is_named() -> None:
    desk = two_periods()
    desk.enter(Arrow(AWAY))
    board = board_of(OpenPeriod(1), Points(HOME, 2), TeamFoul(AWAY))
    assert problems(desk, board) == [
        "The book is in period 2, the board in 1.",
        "White: score 5 in the book, 2 on the board.",
        "White: time-outs 1 in the book, 0 on the board.",
        "Blue: score 1 in the book, 0 on the board.",
        "The arrow points to blue in the book, nowhere on the board.",
    ]


def test_points_of_nobody_and_of_a_stranger_are_named() -> None:
    """NFHS 5-2-3: an own basket is credited to no player."""
    desk = BookDesk(NFHS)
    desk.enter(OpenPeriod(1), OwnBasket(HOME, 2), Basket(AWAY, "99", 3))
    assert problems(desk) == [
        "White: 2 of the points are no player's, an own basket.",
        "Blue: 3 points and 0 fouls stand for 99, who is not on the sheet.",
    ]


def test_sums_that_do_not_add_up_are_named() -> None:
    """Written on the page past the book, as only a fault of ours could."""
    desk = two_periods()
    page = desk.book.pages[HOME]
    page.put(page.line("5").with_goal(2))
    booked = BookedFoul(desk.enter(Arrow(HOME)).id, "personal", 2, 0)
    page.put(page.line("6").with_foul(booked))
    assert problems(desk) == [
        "White: the players' points make 7, the score is 5.",
        "White: the fouls that count make 1, the team fouls are 0.",
    ]


def test_fouls_of_coach_and_bench_add_up_under_a_code_that_counts_them() -> None:
    desk = BookDesk(NFHS)
    desk.enter(OpenPeriod(1), coach_foul(HOME), bench_foul(HOME), foul(HOME, "4"))
    assert desk.book.tally.fouls_in(1, HOME) == 3
    assert problems(desk) == []


def test_what_changes_a_closed_period_needs_a_reason() -> None:
    desk = BookDesk(FIBA)
    first = desk.enter(OpenPeriod(1), Basket(HOME, "4", 2))
    record = desk.book.record
    assert not needs_reason(record, first.table_time_ms)
    desk.enter(ClosePeriod(1), OpenPeriod(2))
    now = desk.enter(Basket(HOME, "5", 2))
    assert needs_reason(record, first.table_time_ms)
    assert not needs_reason(record, now.table_time_ms)


def test_a_correction_of_a_closed_period_shows_with_its_reason() -> None:
    desk = BookDesk(FIBA)
    first = desk.enter(OpenPeriod(1), Basket(HOME, "4", 2))
    second = desk.enter(Basket(HOME, "5", 2))
    desk.enter(Strike(second.id), ClosePeriod(1), OpenPeriod(2))
    amended = Correction(first.id, Basket(HOME, "6", 2), None, "the crew saw 6")
    desk.enter(amended)
    late = Correction(None, Basket(AWAY, "0", 2), first.table_time_ms, "left out")
    desk.enter(late)
    changes = changed_after_close(desk.book.record)
    assert [(change.period, change.corrected.reason) for change in changes] == [
        (1, "the crew saw 6"),
        (1, "left out"),
    ]
    assert problems(desk) == []


def test_a_plain_strike_of_a_closed_period_is_named() -> None:
    desk = BookDesk(FIBA)
    first = desk.enter(OpenPeriod(1), Basket(HOME, "4", 2))
    desk.enter(ClosePeriod(1), OpenPeriod(2))
    strike = desk.enter(Strike(first.id))
    assert problems(desk) == [
        "The book: an entry of the 1st quarter was struck later, without a reason."
    ]
    desk.enter(Strike(strike.id))
    assert problems(desk) == []


def test_a_plain_strike_on_the_board_is_named_too() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(1), ClosePeriod(1), OpenPeriod(2))
    board, scribe = Board(FIBA), Scribe(Seat.CLOCK)
    board.apply(scribe.enter(OpenPeriod(1)))
    points = scribe.enter(Points(HOME, 2))
    board.apply(points)
    for act in (ClosePeriod(1), OpenPeriod(2), Strike(points.id)):
        board.apply(scribe.enter(act))
    assert problems(desk, board) == [
        "The board: an entry of the 1st quarter was struck later, without a reason."
    ]
