"""What stands in for the world in tests: a clock, and a link in bad weather."""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count
from random import Random
from typing import Generic, TypeVar

__all__ = ["FAIR", "FakeClock", "Link", "Weather"]

F = TypeVar("F")


class FakeClock:
    """A clock that stands still until it is told to move."""

    def __init__(self, now_ms: int = 0) -> None:
        self.now_ms = now_ms

    def advance(self, by_ms: int) -> int:
        """Moves on, and tells the new time."""
        self.now_ms += by_ms
        return self.now_ms


@dataclass(frozen=True, slots=True)
class Weather:
    """What a link does to the frames that it carries."""

    drop: float = 0.0
    """Share of the frames that never arrive, from 0 to 1."""
    repeat: float = 0.0
    """Share of the frames that arrive twice, from 0 to 1."""
    least_delay_ms: int = 0
    most_delay_ms: int = 0
    """Each copy has its own delay, so where they differ frames overtake each other."""


FAIR = Weather()


class Link(Generic[F]):
    """One direction of a connection. The same seed gives the same misfortunes."""

    def __init__(self, weather: Weather, seed: int) -> None:
        self.weather = weather
        """May be changed at any time; it holds for the frames sent from then on."""
        self._random = Random(seed)
        self._under_way: list[tuple[int, int, F]] = []
        self._sent = count()

    def send(self, frame: F, now_ms: int) -> None:
        """Lets a frame set out; what becomes of it is decided here."""
        weather = self.weather
        copies = 1 + (self._random.random() < weather.repeat)
        if self._random.random() < weather.drop:
            copies = 0
        for _ in range(copies):
            delay_ms = self._random.randint(
                weather.least_delay_ms, weather.most_delay_ms
            )
            heappush(self._under_way, (now_ms + delay_ms, next(self._sent), frame))

    def arrived(self, now_ms: int) -> list[F]:
        """The frames that have arrived by now, in the order of their arrival."""
        frames: list[F] = []
        while self._under_way and self._under_way[0][0] <= now_ms:
            frames.append(heappop(self._under_way)[2])
        return frames

    def next_arrival_ms(self) -> int | None:
        """When the next frame arrives, or None where none is under way."""
        return self._under_way[0][0] if self._under_way else None

    def cut(self) -> int:
        """Loses whatever is under way, and tells how many frames that was."""
        lost = len(self._under_way)
        self._under_way.clear()
        return lost
