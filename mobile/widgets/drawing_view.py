"""A chart's drawing on the screen, as it would be on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kivy.metrics import dp

from mobile.theme import Colour
from mobile.widgets.drawn import Drawn
from mobile.widgets.ink import (
    Align,
    Box,
    dot,
    fill,
    frame,
    stroke,
    write,
)
from tablesync.chart import drawing as chart
from tablesync.chart.dashes import Ends, pieces
from tablesync.chart.scene import LEFT, RIGHT

if TYPE_CHECKING:
    from tablesync.chart.drawing import Drawing, Ink

__all__ = ["LEAST_SCALE_DP", "DrawingView"]

LEAST_SCALE_DP = 0.8
"""Smaller letters than this can't be read: then what is in the middle is shown."""
_ALIGNS = {
    chart.Anchor.START: Align.LEFT,
    chart.Anchor.MIDDLE: Align.CENTRE,
    chart.Anchor.END: Align.RIGHT,
}
_SHIFTS = {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}
COLOURS = {
    ink: Colour(*(int(ink.value[at : at + 2], 16) for at in (1, 3, 5)))
    for ink in chart.Ink
}


class DrawingView(Drawn):
    """The drawing as large as there is room; too large, the middle of its lanes."""

    @property
    def scale(self) -> float:
        """Pixels to one unit of the drawing."""
        drawing: Drawing = self.model
        across: float = self.width / drawing.width
        down: float = self.height / drawing.height
        least: float = dp(LEAST_SCALE_DP)
        return max(min(across, down), least)

    def draw(self) -> None:
        """Draws the paper, and every shape in its order."""
        drawing: Drawing | None = self.model
        if drawing is None:
            return
        fill(COLOURS[chart.Ink.PAPER], self.box)
        middle = drawing.width / 2
        if drawing.width * self.scale > self.width:
            middle = (LEFT + RIGHT) / 2
        self._left: float = self.x + self.width / 2 - middle * self.scale
        for shape in drawing.shapes:
            self._draw(shape)

    def _draw(self, shape: chart.Shape) -> None:
        match shape:
            case chart.Rule(x1=x1, y1=y1, x2=x2, y2=y2):
                line = Ends(x1, y1, x2, y2)
                self._rule(line, shape.ink, shape.width, shape.stroke)
            case chart.Box():
                self._box(shape)
            case chart.Disc(x=x, y=y, radius=radius, fill=ink):
                if self.x <= self._x(x) <= self.right:
                    dot(COLOURS[ink], (self._x(x), self._y(y)), radius * self.scale)
            case chart.Words():
                self._words(shape)

    def _x(self, x: float) -> float:
        return self._left + x * self.scale

    def _y(self, y: float) -> float:
        top: float = self.top
        return top - y * self.scale

    def _rule(self, line: Ends, ink: Ink, width: float, kind: chart.Stroke) -> None:
        edges = (self.x, self.right)
        for x1, y1, x2, y2 in pieces(line, kind):
            left, right = sorted((self._x(x1), self._x(x2)))
            if right < edges[0] or left > edges[1]:
                continue
            start, end = (self._x(x1), self._y(y1)), (self._x(x2), self._y(y2))
            if y1 == y2:
                start, end = (
                    (max(left, edges[0]), start[1]),
                    (min(right, edges[1]), end[1]),
                )
            stroke(COLOURS[ink], start, end, width * self.scale)

    def _box(self, shape: chart.Box) -> None:
        left = max(self._x(shape.x), self.x)
        right = min(self._x(shape.x + shape.width), self.right)
        if left >= right:
            return
        below = self._y(shape.y + shape.height)
        box = Box(left, below, right - left, shape.height * self.scale)
        fill(COLOURS[shape.fill], box)
        if shape.edge is None:
            return
        if shape.stroke is chart.Stroke.SOLID:
            width_dp = shape.edge_width * self.scale / dp(1)
            frame(COLOURS[shape.edge], box, width_dp=width_dp)
            return
        x, y, far, low = shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
        for side in (
            Ends(x, y, far, y),
            Ends(far, y, far, low),
            Ends(far, low, x, low),
            Ends(x, low, x, y),
        ):
            self._rule(side, shape.edge, shape.edge_width, shape.stroke)

    def _words(self, words: chart.Words) -> None:
        align = _ALIGNS[words.anchor]
        width = chart.width_of(words.text, words.size) * 1.2 * self.scale
        size = words.size * self.scale
        x = self._x(words.x) - width * _SHIFTS[align]
        if x < self.x or x + width > self.right:
            x = min(max(x, self.x), self.right - width)
            if not self.x <= self._x(words.x) <= self.right:
                return
        # The base line lies about a quarter of the letters' height above their foot.
        box = Box(x, self._y(words.y) - size * 0.32, width, size * 1.36)
        write(
            COLOURS[words.ink],
            words.text,
            box,
            size / dp(1),
            align=align,
            bold=words.bold,
        )
