"""An official's finger on a device, and what the device's system reports of it.

A system may report one finger twice, by two ways at once. That must enter once what was
touched once, and two quick touches of one key must enter twice.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tablesync.frozen import dataclass
from tablesync.simulation.faults import Fault
from tablesync.touches import NEAR_DP, NEAR_MS, TouchDown

if TYPE_CHECKING:
    from random import Random

    from tablesync.simulation.faults import Toll
    from tablesync.touches import TouchSieve

__all__ = ["Fingers"]

SCREEN_DP = 800
LIFTED_MS = (20, NEAR_MS)
"""A finger that touches twice is up again after so long."""


@dataclass(frozen=True, slots=True)
class _Habit:
    """What befalls the touches of a game, as shares of them from 0 to 1."""

    doubled: float
    repeated: float


class Fingers:
    """All touches of one game."""

    def __init__(self, random: Random, toll: Toll) -> None:
        """Takes a random of its own, so that touches change nothing else by chance."""
        self._random = random
        self._toll = toll
        is_odd = random.random() < 0.3
        self._habit = _Habit(0.2, 0.1) if is_odd else _Habit(0.0, 0.0)
        self._touches = 0

    def touch(self, sieve: TouchSieve, at_ms: int) -> tuple[int, int]:
        """A key is touched once, or twice in a row.

        Returns:
            How often it was touched, and how often the sieve let that through.
        """
        random = self._random
        down = TouchDown(
            "touch",
            self._next(),
            random.uniform(0, SCREEN_DP),
            random.uniform(0, SCREEN_DP),
            at_ms,
        )
        came = self._report(sieve, down)
        if random.random() >= self._habit.repeated:
            return 1, came
        self._toll[Fault.TOUCHED_TWICE] += 1
        later_ms = at_ms + random.randint(*LIFTED_MS)
        again = replace(down, id=self._next(), at_ms=later_ms)
        return 2, came + self._report(sieve, again)

    def _report(self, sieve: TouchSieve, down: TouchDown) -> int:
        """One finger comes down and is lifted; how often the sieve lets it through."""
        came = int(sieve.comes_down(down))
        if self._random.random() < self._habit.doubled:
            self._toll[Fault.REPORTED_TWICE] += 1
            double = self._other_report(down)
            came += sieve.comes_down(double)
            sieve.is_lifted(double.id)
        sieve.is_lifted(down.id)
        return came

    def _other_report(self, down: TouchDown) -> TouchDown:
        """The same finger by another way, or by the same before it is lifted."""
        random = self._random
        return TouchDown(
            random.choice(("touch", "mouse")),
            self._next(),
            down.x_dp + random.uniform(-NEAR_DP, NEAR_DP),
            down.y_dp + random.uniform(-NEAR_DP, NEAR_DP),
            down.at_ms + random.randint(0, LIFTED_MS[0]),
        )

    def _next(self) -> int:
        self._touches += 1
        return self._touches
