"""A dashed line as the pieces of which it is drawn, for what can't dash by itself."""

from __future__ import annotations

from itertools import cycle
from math import hypot
from typing import TYPE_CHECKING, NamedTuple

from tablesync.chart.drawing import Stroke

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Ends", "pieces"]

_DASHES = {Stroke.DASHED: (6.0, 4.0), Stroke.DOTTED: (1.0, 5.0)}
"""How long a dash is, and the gap after it."""


class Ends(NamedTuple):
    """A straight line by its two ends."""

    x1: float
    y1: float
    x2: float
    y2: float


def pieces(line: Ends, stroke: Stroke) -> Iterator[Ends]:
    """The line in one piece, or its dashes in order."""
    length = hypot(line.x2 - line.x1, line.y2 - line.y1)
    if stroke is Stroke.SOLID or length == 0:
        yield line
        return
    along_x, along_y = (line.x2 - line.x1) / length, (line.y2 - line.y1) / length
    dash, gap = _DASHES[stroke]
    at = 0.0
    for step, is_drawn in cycle(((dash, True), (gap, False))):
        if at >= length:
            return
        until = min(at + step, length)
        if is_drawn:
            yield Ends(
                line.x1 + at * along_x,
                line.y1 + at * along_y,
                line.x1 + until * along_x,
                line.y1 + until * along_y,
            )
        at = until
