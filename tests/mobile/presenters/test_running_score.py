from __future__ import annotations

from mobile.presenters.running_score import AHEAD, ScoreMark, running_score
from tablesync.core.acts import Basket, FreeThrow, OpenPeriod, OwnBasket, Seat, Side
from tests.mobile.table import FakeTable


def _scored() -> FakeTable:
    table = FakeTable()
    table.enter(
        Seat.BOOK,
        OpenPeriod(1),
        Basket(Side.HOME, "4", 2),
        FreeThrow(Side.HOME, "5", made=True),
        FreeThrow(Side.HOME, "5", made=False),
        OpenPeriod(2),
        Basket(Side.HOME, "6", 3),
        OwnBasket(Side.HOME, 2),
    )
    return table


def test_reached_numbers_carry_their_mark_and_their_scorer() -> None:
    boxes = running_score(_scored().view(Seat.BOOK), Side.HOME, 12)
    shown = [(box.total, box.mark, box.scorer, box.three) for box in boxes]
    assert shown == [
        (1, ScoreMark.OPEN, "", False),
        (2, ScoreMark.GOAL, "4", False),
        (3, ScoreMark.FREE_THROW, "5", False),
        (4, ScoreMark.OPEN, "", False),
        (5, ScoreMark.OPEN, "", False),
        (6, ScoreMark.GOAL, "6", True),
        (7, ScoreMark.OPEN, "", False),
        (8, ScoreMark.GOAL, "", False),
        (9, ScoreMark.OPEN, "", False),
        (10, ScoreMark.OPEN, "", False),
        (11, ScoreMark.OPEN, "", False),
        (12, ScoreMark.OPEN, "", False),
    ]


def test_a_periods_last_total_is_marked_once_the_next_has_begun() -> None:
    boxes = running_score(_scored().view(Seat.BOOK), Side.HOME, 10)
    assert [box.total for box in boxes if box.last_of_period] == [3]


def test_the_strip_moves_on_with_the_score_and_shows_what_comes_next() -> None:
    table = _scored()
    table.enter(Seat.BOOK, *(Basket(Side.HOME, "4", 2) for _ in range(10)))
    boxes = running_score(table.view(Seat.BOOK), Side.HOME, 10)
    assert boxes[-1].total == 28 + AHEAD
    assert len(boxes) == 10


def test_the_other_team_has_its_own_strip() -> None:
    boxes = running_score(_scored().view(Seat.BOOK), Side.AWAY, 6)
    assert {box.mark for box in boxes} == {ScoreMark.OPEN}
