from __future__ import annotations

from tablesync.core.acts import (
    Arrow,
    ClockStart,
    ClockStop,
    ClosePeriod,
    OpenPeriod,
    SetClock,
    Side,
)
from tablesync.core.game_clock import ClockReading, GameClock
from tablesync.core.rulesets import rule_set

FIBA = rule_set("fiba-2024")
TEN_MINUTES = 600_000
FIVE_MINUTES = 300_000


def running_clock() -> GameClock:
    """A clock of which 20 seconds ran from 10 s on, then stood, then runs from 40 s."""
    clock = GameClock(FIBA)
    clock.apply(OpenPeriod(1), 5_000)
    clock.apply(ClockStart(), 10_000)
    clock.apply(ClockStop(), 30_000)
    clock.apply(ClockStart(), 40_000)
    return clock


def test_nothing_is_shown_before_the_first_period() -> None:
    assert GameClock(FIBA).reading(99) == ClockReading(0, 0, running=False)
    assert GameClock(FIBA).reading(-5) == ClockReading(0, 0, running=False)


def test_the_clock_answers_for_past_moments() -> None:
    clock = running_clock()
    assert clock.reading(7_000) == ClockReading(1, TEN_MINUTES, running=False)
    assert clock.reading(10_000) == ClockReading(1, TEN_MINUTES, running=True)
    assert clock.reading(15_500) == ClockReading(1, TEN_MINUTES - 5_500, running=True)
    assert clock.reading(35_000) == ClockReading(1, TEN_MINUTES - 20_000, running=False)
    assert clock.reading(45_000) == ClockReading(1, TEN_MINUTES - 25_000, running=True)


def test_the_stopped_reading_is_that_of_the_last_time_it_stood() -> None:
    clock = running_clock()
    assert clock.stopped_reading(15_000).remaining_ms == TEN_MINUTES
    assert clock.stopped_reading(35_000).remaining_ms == TEN_MINUTES - 20_000
    assert clock.stopped_reading(45_000).remaining_ms == TEN_MINUTES - 20_000


def test_the_clock_never_falls_below_zero_and_has_stopped_there() -> None:
    clock = running_clock()
    assert clock.reading(40_000 + TEN_MINUTES) == ClockReading(1, 0, running=False)


def test_a_clock_that_ran_down_stands_in_the_next_period_until_started() -> None:
    clock = running_clock()
    clock.apply(OpenPeriod(2), 2_000_000)
    assert clock.reading(2_100_000) == ClockReading(2, TEN_MINUTES, running=False)


def test_a_clock_started_before_its_period_was_opened_runs_from_the_opening() -> None:
    clock = running_clock()
    clock.apply(ClosePeriod(1), 1_000_000)
    clock.apply(ClockStart(), 1_100_000)
    assert clock.reading(1_150_000) == ClockReading(1, 0, running=False)
    clock.apply(OpenPeriod(2), 1_160_000)
    assert clock.reading(1_161_000) == ClockReading(
        2, TEN_MINUTES - 1_000, running=True
    )


def test_closing_a_period_stops_the_clock_where_it_is() -> None:
    clock = running_clock()
    clock.apply(ClosePeriod(2), 41_000)
    assert clock.reading(42_000).running
    clock.apply(ClosePeriod(1), 43_000)
    assert clock.reading(99_000) == ClockReading(1, TEN_MINUTES - 23_000, running=False)


def test_a_set_clock_runs_on_if_it_ran() -> None:
    clock = running_clock()
    clock.apply(SetClock(100_000), 41_000)
    assert clock.reading(42_000) == ClockReading(1, 99_000, running=True)
    clock.apply(ClockStop(), 42_000)
    clock.apply(SetClock(98_000), 43_000)
    assert clock.reading(60_000) == ClockReading(1, 98_000, running=False)


def test_an_overtime_has_its_own_length() -> None:
    """FIBA 2024 Art. 8.5: 5 minutes."""
    clock = GameClock(FIBA)
    clock.apply(OpenPeriod(5), 1_000)
    assert clock.reading(1_000).remaining_ms == FIVE_MINUTES


def test_the_order_of_the_acts_goes_before_their_times() -> None:
    clock = running_clock()
    clock.apply(ClockStop(), 39_000)
    assert clock.reading(50_000).remaining_ms == TEN_MINUTES - 20_000


def test_other_acts_pass_by() -> None:
    clock = running_clock()
    before = clock.reading(45_000)
    clock.apply(Arrow(Side.HOME), 44_000)
    assert clock.reading(45_000) == before
