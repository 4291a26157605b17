"""Puts the shapes of a drawing onto a page of a PDF document."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import font_roboto

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
    from fpdf import FPDF

    from tablesync.chart.drawing import Drawing

__all__ = ["FONT", "Press", "add_letters"]

FONT = "Roboto"
POINTS_PER_MM = 72 / 25.4
_DASHES_MM = {
    Stroke.SOLID: (0.0, 0.0),
    Stroke.DASHED: (1.4, 1.0),
    Stroke.DOTTED: (0.3, 1.2),
}
_SHIFTS = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}


def add_letters(pdf: FPDF) -> None:
    """Gives a document its letters, plain and bold."""
    files: dict[str, str] = font_roboto.font_files
    pdf.add_font(FONT, "", Path(files["Roboto"]))
    pdf.add_font(FONT, "B", Path(files["RobotoBold"]))


class Press:
    """Draws on the current page of a document in millimetres that has its letters."""

    def __init__(self, pdf: FPDF, scale: float, left: float, top: float) -> None:
        """Lays a drawing's origin at a point of the page.

        Args:
            pdf: the document.
            scale: millimetres to one unit of the drawing.
            left: where the drawing begins, in millimetres.
            top: the same, downwards.
        """
        self._pdf = pdf
        self._scale = scale
        self._left = left
        self._top = top

    def draw(self, drawing: Drawing) -> None:
        """Draws every shape in its order."""
        for shape in drawing.shapes:
            self._draw(shape)
        self._pdf.set_dash_pattern()

    def _draw(self, shape: Shape) -> None:
        pdf = self._pdf
        match shape:
            case Rule(x1=x1, y1=y1, x2=x2, y2=y2):
                self._stroke(shape.ink, shape.width, shape.stroke)
                pdf.line(self._x(x1), self._y(y1), self._x(x2), self._y(y2))
            case Box(x=x, y=y, width=width, height=height, fill=fill, edge=edge):
                pdf.set_fill_color(str(fill))
                if edge is not None:
                    self._stroke(edge, shape.edge_width, shape.stroke)
                pdf.rect(
                    self._x(x),
                    self._y(y),
                    width * self._scale,
                    height * self._scale,
                    style="F" if edge is None else "DF",
                )
            case Disc(x=x, y=y, radius=radius, fill=fill):
                pdf.set_fill_color(str(fill))
                pdf.circle(self._x(x), self._y(y), radius * self._scale, style="F")
            case Words():
                self._letter(shape)

    def _x(self, x: float) -> float:
        return self._left + x * self._scale

    def _y(self, y: float) -> float:
        return self._top + y * self._scale

    def _stroke(self, ink: Ink, width: float, stroke: Stroke) -> None:
        self._pdf.set_draw_color(str(ink))
        self._pdf.set_line_width(width * self._scale)
        self._pdf.set_dash_pattern(*_DASHES_MM[stroke])

    def _letter(self, words: Words) -> None:
        pdf = self._pdf
        size = words.size * self._scale * POINTS_PER_MM
        pdf.set_font(FONT, "B" if words.bold else "", size)
        pdf.set_text_color(str(words.ink))
        text = printable(words.text)
        shift = pdf.get_string_width(text) * _SHIFTS[words.anchor]
        pdf.text(self._x(words.x) - shift, self._y(words.y), text)
