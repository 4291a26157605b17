from __future__ import annotations

from tablesync.core.acts import (
    Act,
    Arrow,
    ClockStart,
    ClosePeriod,
    Correction,
    OpenPeriod,
    Points,
    Seat,
    Side,
    Signer,
    SignOff,
    Strike,
    TeamFoul,
    TimeOut,
    TimeOutLength,
)
from tablesync.core.board import Board
from tablesync.core.rulesets import rule_set
from tablesync.core.tally import PerSide
from tests.scribe import Scribe

FIBA = rule_set("fiba-2024")
HOME, AWAY = Side.HOME, Side.AWAY


def board_with(*acts: Act) -> tuple[Board, Scribe]:
    board, scribe = Board(FIBA), Scribe(Seat.CLOCK)
    for act in acts:
        board.apply(scribe.enter(act))
    return board, scribe


def test_the_scoreboard_shows_what_was_put_on_it() -> None:
    board, _ = board_with(
        OpenPeriod(1),
        Points(HOME, 2),
        Points(AWAY, 3),
        Points(HOME, 1),
        TeamFoul(AWAY),
        TimeOut(HOME, TimeOutLength.FULL),
        Arrow(AWAY),
    )
    tally = board.tally
    assert tally.score == PerSide(3, 3)
    assert tally.team_fouls == PerSide((), (1,))
    assert tally.time_outs == PerSide(1, 0)
    assert (tally.period, tally.arrow) == (1, AWAY)


def test_a_foul_between_periods_belongs_to_the_next() -> None:
    """FIBA 2024 Art. 41.1.3."""
    board, _ = board_with(
        OpenPeriod(1), TeamFoul(HOME), ClosePeriod(1), TeamFoul(HOME), OpenPeriod(2)
    )
    assert board.tally.team_fouls == PerSide((1, 1), ())
    assert board.tally.fouls_in(2, HOME) == 1
    assert board.tally.fouls_in(3, HOME) == 0


def test_a_strike_takes_its_entry_out_of_tally_and_clock() -> None:
    board, scribe = board_with(OpenPeriod(1))
    start = scribe.enter(ClockStart(), 10_000)
    points = scribe.enter(Points(HOME, 2), 11_000)
    board.apply(start)
    board.apply(points)
    assert board.clock.reading(20_000).remaining_ms == 590_000
    board.apply(scribe.enter(Strike(start.id), 12_000))
    board.apply(scribe.enter(Strike(points.id), 13_000))
    assert board.clock.reading(20_000).remaining_ms == 600_000
    assert board.tally.score == PerSide(0, 0)
    assert board.periods.is_open
    assert len(board.record) == 5


def test_a_corrected_act_counts_in_its_place() -> None:
    board, scribe = board_with(OpenPeriod(1), TeamFoul(HOME), ClosePeriod(1))
    late = Correction(None, TeamFoul(HOME), scribe.now_ms - 500, "left out")
    board.apply(scribe.enter(OpenPeriod(2)))
    board.apply(scribe.enter(late))
    assert board.tally.team_fouls[HOME] == (2,)


def test_nothing_counts_after_the_referees_signature() -> None:
    board, scribe = board_with(OpenPeriod(1), SignOff(Signer.REFEREE, "R. Fen"))
    board.apply(scribe.enter(Points(HOME, 2)))
    assert board.tally.score == PerSide(0, 0)
