from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.box_score import box_score, score_by_period
from tablesync.core.acts import Basket, ClockStart, ClosePeriod, OpenPeriod, Seat, Side
from tablesync.game_file import game_at
from tests.scribe import SHEET
from tests.telling import told_game

if TYPE_CHECKING:
    from rich.table import Table

    from tablesync.core.acts import Act
    from tablesync.core.game import Game

QUARTER = Path("scenarios/clean-quarter.jsonl")


def rows(table: Table) -> list[list[str]]:
    """The cells of a table as text, its headings first."""
    columns = [
        [str(column.header), *(str(cell) for cell in column.cells)]
        for column in table.columns
    ]
    return [list(row) for row in zip(*columns, strict=True)]


def headings(game: Game) -> list[str]:
    return rows(box_score(game, Side.HOME))[0]


def test_the_players_stand_in_order_of_number_over_their_sums() -> None:
    first, *players, sums = rows(box_score(game_at(QUARTER).game, Side.HOME))
    assert first == [
        *("no.", "player", "points", "2s", "3s", "free throws", "fouls", "periods"),
        "time",
    ]
    numbers = [player[0] for player in players]
    assert numbers == ["4", "5", "7", "8", "9", "11", "12", "15"]
    assert players[2] == ["7", "C. Oduya", "1", "0", "0", "1/2", "0", "/", "3:32"]
    assert sums[:7] == ["", "team", "10", "2", "1", "3/4", "1"]


def test_the_score_by_period_is_that_of_the_book() -> None:
    assert rows(score_by_period(game_at(QUARTER).game)) == [
        ["team", "1st quarter", "in all"],
        ["Harbour Mills", "10", "10"],
        ["Kestrel Park", "11", "11"],
    ]


def test_a_time_on_court_needs_the_clock_seat() -> None:
    number = SHEET.teams.home.players[0].number
    book: list[tuple[int, Seat, Act]] = [
        (1_000, Seat.BOOK, OpenPeriod(1)),
        (63_000, Seat.BOOK, Basket(Side.HOME, number, 2)),
    ]
    clock: list[tuple[int, Seat, Act]] = [
        (1_500, Seat.CLOCK, OpenPeriod(1)),
        (2_000, Seat.CLOCK, ClockStart()),
        (67_000, Seat.CLOCK, ClosePeriod(1)),
    ]
    assert headings(told_game(*book))[-1] == "periods"
    with_clock = sorted([*book, *clock], key=lambda line: line[0])
    table = rows(box_score(told_game(*with_clock), Side.HOME))
    assert table[0][-1] == "time"
    assert table[1][-2:] == ["/", "1:05"]
