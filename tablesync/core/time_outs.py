"""A team's time-outs, joined with the clock where the clock seat is there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.time_out_rules import TakenTimeOut

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.book_lines import BookedTimeOut
    from tablesync.core.game_clock import GameClock
    from tablesync.core.rules import RuleSet
    from tablesync.core.time_out_rules import Account

__all__ = ["account_at", "clock_at_time_out"]


def clock_at_time_out(time_out: BookedTimeOut, clock: GameClock | None) -> int | None:
    """What the clock showed in a time-out; None where nothing says."""
    if clock is None:
        return None
    reading = clock.stopped_reading(time_out.at_ms)
    return reading.remaining_ms if reading.period == time_out.period else None


def account_at(
    rules: RuleSet,
    time_outs: Iterable[BookedTimeOut],
    clock: GameClock | None,
    moment: tuple[int, int],
) -> Account:
    """What a team has left at a moment: a period, and a table time within it.

    Without a clock a limit for the last minutes is not applied.
    """
    period, at_ms = moment
    taken = tuple(
        TakenTimeOut(t.period, t.length, clock_at_time_out(t, clock)) for t in time_outs
    )
    reading = None if clock is None else clock.stopped_reading(at_ms)
    is_shown = reading is not None and reading.period == period
    remaining_ms = reading.remaining_ms if reading is not None and is_shown else None
    return rules.time_out_account(taken, period, remaining_ms)
