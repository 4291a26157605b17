from __future__ import annotations

from tablesync.core.acts import Arrow, ClosePeriod, OpenPeriod, Side
from tablesync.core.periods import BEFORE_THE_GAME, PeriodState


def test_before_the_game_play_and_fouls_belong_to_the_first_period() -> None:
    assert BEFORE_THE_GAME.of_play == 1
    assert BEFORE_THE_GAME.of_foul == 1


def test_a_foul_between_periods_belongs_to_the_next_and_a_goal_to_the_last() -> None:
    """FIBA 2024 Art. 41.1.3 for the foul."""
    state = BEFORE_THE_GAME.after(OpenPeriod(1))
    assert state == PeriodState(1, is_open=True)
    assert (state.of_play, state.of_foul) == (1, 1)
    state = state.after(ClosePeriod(1))
    assert state == PeriodState(1, is_open=False)
    assert (state.of_play, state.of_foul) == (1, 2)


def test_closing_another_period_than_the_open_one_closes_nothing() -> None:
    state = PeriodState(2, is_open=True)
    assert state.after(ClosePeriod(1)) is state
    assert state.after(Arrow(Side.HOME)) is state
