"""A machine's clock: wrong from the start, drifting, standing still in a suspend."""

from __future__ import annotations

__all__ = ["WrongClock"]

MILLION = 1_000_000


class WrongClock:
    """Shows a time of its own. As promised to the state machines it never goes back."""

    def __init__(self, true_ms: int, ahead_ms: int, drift_ppm: int) -> None:
        self.drift_ppm = drift_ppm
        """By how many millionths it runs too fast."""
        self._since_ms = true_ms
        self._shown_ms = true_ms + ahead_ms

    def at(self, true_ms: int) -> int:
        """What it shows at a true time."""
        passed_ms = true_ms - self._since_ms
        return self._shown_ms + passed_ms + passed_ms * self.drift_ppm // MILLION

    def true_ms(self, shown_ms: int) -> int:
        """The first true time at which it shows at least this."""
        to_pass_ms = shown_ms - self._shown_ms
        true_ms = self._since_ms + to_pass_ms * MILLION // (MILLION + self.drift_ppm)
        while self.at(true_ms) < shown_ms:
            true_ms += 1
        return true_ms

    def jump(self, true_ms: int, by_ms: int) -> None:
        """Goes on from what it shows at that time and so much more.

        Less than nothing is for a clock that stood still while nobody could read it.
        """
        self._shown_ms = self.at(true_ms) + by_ms
        self._since_ms = true_ms
