"""Stepping through a replay by keys."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import TYPE_CHECKING

from rich.text import Text

from tablesync.replay.replay import FindingStep
from tablesync.replay.view import moment_page

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from rich.console import Console

    from tablesync.replay.lines import Narrator
    from tablesync.replay.replay import Replay

__all__ = ["Stepper", "step_through"]

LEGEND = "→ n next  ← p back  f next finding  b finding before  g first  e last  q quit"
QUIT = frozenset({"q", "\x03", "\x04", "\x1b"})


class Stepper:
    """A place among the positions that were selected."""

    def __init__(self, positions: Sequence[int], findings: Sequence[int]) -> None:
        """Begins before everything.

        Args:
            positions: where to stop, in order.
            findings: those of them at which the check said something.
        """
        self._positions = positions
        self._findings = findings
        self.position = 0

    def press(self, key: str) -> None:
        """Goes where a key says; a key without a meaning goes nowhere."""
        match key:
            case "n" | " " | "\r" | "\x1b[C" | "\x1bOC" | "\xe0M":
                self.position = _after(self._positions, self.position)
            case "p" | "\x7f" | "\x1b[D" | "\x1bOD" | "\xe0K":
                self.position = _before(self._positions, self.position)
            case "f":
                self.position = _after(self._findings, self.position)
            case "b":
                self.position = _before(self._findings, self.position)
            case "g":
                self.position = self._positions[0] if self._positions else 0
            case "e":
                self.position = self._positions[-1] if self._positions else 0
            case _:
                pass


def _after(positions: Sequence[int], position: int) -> int:
    at = bisect_right(positions, position)
    return positions[at] if at < len(positions) else position


def _before(positions: Sequence[int], position: int) -> int:
    at = bisect_left(positions, position) - 1
    return positions[at] if at >= 0 else position


def step_through(
    console: Console,
    replay: Replay,
    narrator: Narrator,
    positions: Sequence[int],
    read_key: Callable[[], str],
) -> None:
    """Shows one moment after another until the key to quit.

    Args:
        console: where to show them.
        replay: the game.
        narrator: tells its steps.
        positions: where to stop.
        read_key: waits for the next key.
    """
    findings = [p for p in positions if isinstance(replay.steps[p - 1], FindingStep)]
    stepper = Stepper(positions, findings)
    stepper.press("g")
    while True:
        console.clear()
        moment = replay.moment(stepper.position)
        console.print(moment_page(replay, narrator, moment))
        console.print(Text(LEGEND, "reverse"))
        key = read_key()
        if key in QUIT:
            return
        stepper.press(key)
