"""What the game clock showed at any moment, from the clock seat's acts.

Every act that sets the clock, starts it or stops it leaves one state; between two
states the clock stands or runs. So a reading of any moment is a search and a
subtraction, and an act costs the same however long the game.
"""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from tablesync.core.acts import (
    Act,
    ClockStart,
    ClockStop,
    ClosePeriod,
    OpenPeriod,
    SetClock,
)
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.rules import RuleSet

__all__ = ["ClockReading", "GameClock"]


@dataclass(frozen=True, slots=True)
class ClockReading:
    """What the clock shows at one moment."""

    period: int
    """The last period opened, 0 before the first."""
    remaining_ms: int
    """0 before the first period is opened."""
    running: bool
    """False once the clock has run down, whether or not it was stopped by hand."""


@dataclass(frozen=True, slots=True)
class _ClockState:
    """How the clock was left by one act."""

    at_ms: int
    period: int
    remaining_ms: int
    started: bool

    def reading(self, at_ms: int) -> ClockReading:
        remaining_ms = self.remaining_ms
        if self.started:
            remaining_ms = max(0, remaining_ms - (at_ms - self.at_ms))
        return ClockReading(
            self.period, remaining_ms, running=self.started and remaining_ms > 0
        )

    def has_run_down(self, at_ms: int) -> bool:
        return self.remaining_ms > 0 and self.reading(at_ms).remaining_ms == 0


class GameClock:
    """The game clock as the clock seat works it."""

    def __init__(self, rules: RuleSet) -> None:
        self._rules = rules
        self._times = [0]
        self._states = [_ClockState(0, 0, 0, started=False)]

    def apply(self, act: Act, at_ms: int) -> None:
        """Works the clock; acts that are not the clock's pass by.

        Args:
            act: what was done.
            at_ms: when, in table time. A time before that of the act before counts as
                that time: the order of the acts goes before the hands of a watch.
        """
        at_ms = max(at_ms, self._times[-1])
        before = self._states[-1]
        shown = before.reading(at_ms)
        started = before.started and not before.has_run_down(at_ms)
        match act:
            case OpenPeriod(period=period):
                # A clock started while no period was open was started for this one.
                length_ms = self._rules.period_length_ms(period)
                state = _ClockState(at_ms, period, length_ms, started)
            case ClosePeriod(period=period) if period == shown.period:
                state = _ClockState(at_ms, period, shown.remaining_ms, started=False)
            case ClockStart():
                state = _ClockState(
                    at_ms, shown.period, shown.remaining_ms, started=True
                )
            case ClockStop():
                state = _ClockState(
                    at_ms, shown.period, shown.remaining_ms, started=False
                )
            case SetClock(remaining_ms=remaining_ms):
                state = _ClockState(at_ms, shown.period, remaining_ms, started)
            case _:
                return
        self._times.append(at_ms)
        self._states.append(state)

    @property
    def worked_ms(self) -> int:
        """When the clock was last worked, in table time; 0 if never."""
        return self._times[-1]

    def reading(self, at_ms: int) -> ClockReading:
        """What the clock showed at that table time, past or present."""
        return self._state(at_ms).reading(at_ms)

    def stopped_reading(self, at_ms: int) -> ClockReading:
        """What the clock showed when it last stood, at or before that table time.

        It is the reading for what can only be done while the clock stands, such as a
        substitution, and is entered when play has gone on already.
        """
        state = self._state(at_ms)
        return ClockReading(state.period, state.remaining_ms, running=False)

    def _state(self, at_ms: int) -> _ClockState:
        return self._states[max(0, bisect_right(self._times, at_ms) - 1)]
