"""Rectangles of a page, in millimetres from its upper left corner."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Area"]


@dataclass(frozen=True, slots=True)
class Area:
    """One rectangle."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Where it ends, to the right."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Where it ends, downwards."""
        return self.y + self.height

    def inside(self, margin: float) -> Area:
        """The rectangle within a margin on all sides."""
        return Area(
            self.x + margin,
            self.y + margin,
            self.width - 2 * margin,
            self.height - 2 * margin,
        )

    def columns(self, widths: Sequence[float], gap: float = 0.0) -> list[Area]:
        """Rectangles of these widths side by side, from the left."""
        areas, x = [], self.x
        for width in widths:
            areas.append(Area(x, self.y, width, self.height))
            x += width + gap
        return areas

    def alike(self, count: int, gap: float = 0.0) -> list[Area]:
        """So many rectangles of one width side by side."""
        width = (self.width - gap * (count - 1)) / count
        return self.columns([width] * count, gap)

    def rows(self, heights: Sequence[float]) -> list[Area]:
        """Rectangles of these heights one below the other, from the top."""
        areas, y = [], self.y
        for height in heights:
            areas.append(Area(self.x, y, self.width, height))
            y += height
        return areas

    def holds(self, other: Area, slack: float = 1e-6) -> bool:
        """Whether another lies within it."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )

    def overlaps(self, other: Area, slack: float = 1e-6) -> bool:
        """Whether both have more than an edge in common."""
        return (
            self.x < other.right - slack
            and other.x < self.right - slack
            and self.y < other.bottom - slack
            and other.y < self.bottom - slack
        )
