"""A drawing as a PNG file: twice as fine as its units, letters as on paper."""

from __future__ import annotations

from io import BytesIO
from math import ceil
from typing import TYPE_CHECKING

import font_roboto
from PIL import Image, ImageDraw, ImageFont

from tablesync.chart.dashes import Ends, pieces
from tablesync.chart.drawing import (
    Anchor,
    Box,
    Disc,
    Ink,
    Rule,
    Shape,
    Stroke,
    Words,
)
from tablesync.plain_text import printable

if TYPE_CHECKING:
    from tablesync.chart.drawing import Drawing

__all__ = ["png"]

FINE = 2
"""Pixels to one unit of the drawing."""
SMOOTH = 2
"""Drawn so much larger, then made smaller, so that slanting lines are smooth."""
SCALE = FINE * SMOOTH
_ANCHORS = {Anchor.START: "ls", Anchor.MIDDLE: "ms", Anchor.END: "rs"}


def png(drawing: Drawing) -> bytes:
    """The drawing as the bytes of a PNG file."""
    size = (ceil(drawing.width * SCALE), ceil(drawing.height * SCALE))
    image = Image.new("RGB", size, str(Ink.PAPER))
    brush = _Brush(ImageDraw.Draw(image))
    for shape in drawing.shapes:
        brush.draw(shape)
    smaller = (size[0] // SMOOTH, size[1] // SMOOTH)
    out = BytesIO()
    image.resize(smaller, Image.Resampling.BOX).save(out, "PNG", optimize=True)
    return out.getvalue()


class _Brush:
    """Draws shapes onto an image."""

    def __init__(self, draw: ImageDraw.ImageDraw) -> None:
        self._draw = draw
        self._fonts: dict[tuple[float, bool], ImageFont.FreeTypeFont] = {}

    def draw(self, shape: Shape) -> None:
        """Draws one shape over what is there."""
        match shape:
            case Rule(x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke):
                self._line(Ends(x1, y1, x2, y2), shape.ink, shape.width, stroke)
            case Box():
                self._box(shape)
            case Disc(x=x, y=y, radius=radius, fill=fill):
                around = (x - radius, y - radius, x + radius, y + radius)
                self._draw.ellipse(_scaled(around), fill=str(fill))
            case Words(x=x, y=y, text=text, ink=ink, anchor=anchor):
                self._draw.text(
                    (x * SCALE, y * SCALE),
                    printable(text),
                    fill=str(ink),
                    font=self._font(shape.size, bold=shape.bold),
                    anchor=_ANCHORS[anchor],
                )

    def _font(self, size: float, *, bold: bool) -> ImageFont.FreeTypeFont:
        if (size, bold) not in self._fonts:
            files: dict[str, str] = font_roboto.font_files
            file = files["RobotoBold" if bold else "Roboto"]
            self._fonts[size, bold] = ImageFont.truetype(file, size * SCALE)
        return self._fonts[size, bold]

    def _box(self, box: Box) -> None:
        right, below = box.x + box.width, box.y + box.height
        corners = _scaled((box.x, box.y, right, below))
        self._draw.rectangle(corners, fill=str(box.fill))
        if box.edge is not None:
            for side in (
                (box.x, box.y, right, box.y),
                (right, box.y, right, below),
                (right, below, box.x, below),
                (box.x, below, box.x, box.y),
            ):
                self._line(Ends(*side), box.edge, box.edge_width, box.stroke)

    def _line(
        self,
        ends: Ends,
        ink: Ink,
        width: float,
        stroke: Stroke,
    ) -> None:
        pixels = max(1, round(width * SCALE))
        for part in pieces(ends, stroke):
            self._draw.line(_scaled(part), fill=str(ink), width=pixels)


def _scaled(values: tuple[float, ...]) -> list[float]:
    return [value * SCALE for value in values]
