from __future__ import annotations

from tablesync.core.acts import ClosePeriod, OpenPeriod, Side, TimeOut, TimeOutLength
from tablesync.core.game_clock import GameClock
from tablesync.core.rulesets import rule_set
from tablesync.core.time_out_rules import Allowance
from tablesync.core.time_outs import account_at, clock_at_time_out
from tests.scribe import BookDesk

FIBA = rule_set("fiba-2024")
HOME = Side.HOME
FULL = TimeOut(HOME, TimeOutLength.FULL)


def test_a_time_out_is_taken_at_what_the_clock_showed() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(4))
    desk.show(4, 110_000)
    desk.enter(FULL)
    time_out = desk.book.pages[HOME].time_outs[0]
    assert clock_at_time_out(time_out, desk.clock) == 110_000
    assert clock_at_time_out(time_out, None) is None
    assert clock_at_time_out(time_out, GameClock(FIBA)) is None


def test_the_last_two_minutes_are_told_by_the_clock() -> None:
    """FIBA Art. 18.2.5: at most two of the three."""
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(4))
    desk.show(4, 120_000)
    moment = (4, desk.now_ms)
    assert account_at(FIBA, (), desk.clock, moment).left == Allowance(2, 0)
    assert account_at(FIBA, (), None, moment).left == Allowance(3, 0)


def test_a_clock_that_is_in_another_period_does_not_count() -> None:
    desk = BookDesk(FIBA)
    desk.enter(OpenPeriod(3), ClosePeriod(3), OpenPeriod(4))
    desk.show(3, 60_000)
    assert account_at(FIBA, (), desk.clock, (4, desk.now_ms)).left == Allowance(3, 0)
