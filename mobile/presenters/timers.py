"""The time-out timer and the interval timer, with their warning signals."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from mobile.presenters.steps import is_over
from tablesync.core.acts import ClockStart, ClosePeriod, OpenPeriod, TimeOut
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from mobile.presenters.seat_view import SeatView
    from tablesync.core.entries import Entry

__all__ = ["SIGNAL_MS", "Signal", "Timer", "timer"]

SIGNAL_MS = 3_000
"""For so long a signal is shown."""
AFTERWARDS_MS = 10_000
"""For so long a timer that has run out stays."""


class Signal(Enum):
    """A signal that is due."""

    WARNING = "warning"
    END = "end"


@dataclass(frozen=True, slots=True)
class Timer:
    """A timer beside the game clock."""

    title: str
    remaining_ms: int
    text: str
    signal: Signal | None


def timer(view: SeatView) -> Timer | None:
    """The timer that runs, if one does: of a time-out or of an interval."""
    entry = _last_that_matters(view)
    if entry is None:
        return None
    rules, texts = view.game.rules, view.texts.clock
    match entry.act:
        case TimeOut(side=side, length=length):
            title = texts.time_out_of(view.colour(side))
            length_ms: int | None = rules.time_outs.length_ms(length)
            signals_ms = rules.time_outs.signals_left_ms
        case ClosePeriod(period=period) if not is_over(view):
            is_half_time = period * 2 == rules.periods
            title = texts.half_time if is_half_time else texts.interval
            length_ms = rules.interval_ms(period + 1)
            signals_ms = rules.interval_signals(period + 1)
        case _:
            return None
    if length_ms is None:
        return None
    remaining_ms = length_ms - (view.now_ms - entry.table_time_ms)
    if remaining_ms < -AFTERWARDS_MS:
        return None
    shown_ms = max(0, remaining_ms)
    signal = _signal(remaining_ms, signals_ms)
    return Timer(title, shown_ms, view.texts.say.time(shown_ms), signal)


def _last_that_matters(view: SeatView) -> Entry | None:
    """The newest standing act that starts or ends a timer."""
    record = view.game.board.record
    kinds = TimeOut | ClosePeriod | ClockStart | OpenPeriod
    for entry in reversed(record):
        if isinstance(entry.act, kinds) and record.counts(entry):
            return entry
    return None


def _signal(remaining_ms: int, signals_ms: tuple[int, ...]) -> Signal | None:
    for at_ms in signals_ms:
        if at_ms - SIGNAL_MS < remaining_ms <= at_ms:
            return Signal.WARNING if at_ms else Signal.END
    return None
