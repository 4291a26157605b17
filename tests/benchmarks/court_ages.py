"""Directors in a process of their own, and how old their table was."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from bisect import bisect_left
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["Directors", "Shown", "ages"]


@dataclass(frozen=True, slots=True)
class Shown:
    """What a director has been shown, and when."""

    counts: dict[str, list[tuple[int, float]]]
    """Per game, how many entries were told of, and when; both only rise."""
    silences: list[float]
    """How long it waited between news."""


class Directors:
    """The process of some directors, of whom the first tells what it has seen."""

    def __init__(self, address: str, reading: int, slow: int = 0, mute: int = 0):
        program = [sys.executable, "-m", "tests.benchmarks.court_followers", address]
        self._process = subprocess.Popen(
            [*program, str(reading), str(slow), str(mute)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def wait_ready(self) -> None:
        """Waits until the first has the whole table."""
        assert self._process.stdout is not None
        assert self._process.stdout.readline() == "ready\n"

    def end(self) -> Shown:
        """Ends them; tells what the first has seen."""
        told, _ = self._process.communicate("")
        seen: dict[str, Any] = json.loads(told)
        counts = {
            game: list(map(tuple, looks)) for game, looks in seen["shown"].items()
        }
        return Shown(counts, seen["silences"])


def ages(
    sent: Mapping[bytes, Sequence[float]], shown: Shown
) -> list[tuple[float, float]]:
    """For each entry when it was sent, and how much later the table showed it.

    Args:
        sent: per game, when its first, second, … entry was sent.
        shown: of one director; what it was never shown is infinitely late.
    """
    both: list[tuple[float, float]] = []
    for game, times in sent.items():
        looks = shown.counts.get(game.hex(), [])
        for number, at in enumerate(times, 1):
            look = bisect_left(looks, (number, 0.0))
            when = looks[look][1] if look < len(looks) else math.inf
            both.append((at, when - at))
    return sorted(both)
